//! A list as it comes over HTTP: as a file in a form, or as the body itself, with what the sender says about it.

use axum::{
    body::Bytes,
    extract::{FromRequest as _, Multipart, Request, multipart::MultipartError},
    http::{HeaderMap, StatusCode, header},
    response::IntoResponse as _,
};
use serde::Deserialize;

use super::mapping::Overrides;
use super::{Encoding, MAX_FILE_BYTES};
use crate::error::PageError;

/// Room for the other fields of a form, and for its seams.
const MOST_BESIDE: usize = 256 * 1024;
/// Largest body of a request that brings a list.
pub const MOST_BYTES: usize = MAX_FILE_BYTES + MOST_BESIDE;

/// What the sender says about the list, in the query or in the form.
#[derive(Clone, Debug, Default, Deserialize)]
pub struct Said {
    /// Only look; store nothing.
    pub look: Option<String>,
    /// Corrected headings, as JSON: `{"Water": "look", "Remarks": null}`.
    pub overrides: Option<String>,
    /// How the characters are written, by its registered name.
    pub encoding: Option<String>,
    /// What the sender calls the file.
    pub file_name: Option<String>,
}

/// A list that was sent.
#[derive(Clone, Debug, Default)]
pub struct Sent {
    /// The file.
    pub bytes: Bytes,
    /// What the sender calls it.
    pub file_name: String,
    /// Corrected headings.
    pub overrides: Overrides,
    /// How the characters are written; none finds out.
    pub encoding: Option<Encoding>,
    /// Whether to look only.
    pub looks: bool,
}

impl Sent {
    /// Reads a request; what a form says goes before what the query says.
    ///
    /// # Errors
    /// Too large, broken off, no list among the fields, a content type that no list has, options that mean nothing.
    pub async fn read(request: Request, query: Said) -> Result<Self, PageError> {
        let kind = content_type(request.headers());
        let (bytes, said, named) = match kind.as_str() {
            "multipart/form-data" => from_form(request).await?,
            "application/x-www-form-urlencoded" | "application/json" => {
                return Err(PageError::UnsupportedMedia(
                    "Send the list as a file in a form, or as the body with Content-Type: text/csv or that of an .xlsx workbook.".into(),
                ));
            }
            _ => {
                let charset = charset(request.headers());
                let bytes = Bytes::from_request(request, &())
                    .await
                    .map_err(|rejection| not_read(rejection.into_response().status()))?;
                let said = Said {
                    encoding: charset,
                    ..Said::default()
                };
                (bytes, said, None)
            }
        };
        let file_name = said.file_name.or(query.file_name).or(named);
        Ok(Self {
            bytes,
            file_name: file_name.unwrap_or_default(),
            overrides: overrides(said.overrides.or(query.overrides))?,
            // The query is said on purpose; a content type's charset is often only a habit.
            encoding: encoding(query.encoding)?.or(encoding(said.encoding)?),
            looks: is_yes(said.look.or(query.look).as_deref())?,
        })
    }
}

async fn from_form(request: Request) -> Result<(Bytes, Said, Option<String>), PageError> {
    let mut form = Multipart::from_request(request, &()).await.map_err(|_| {
        PageError::BadRequest("The form has no boundary, so it cannot be taken apart.".into())
    })?;
    let (mut file, mut said) = (None, Said::default());
    while let Some(field) = form.next_field().await.map_err(|e| broken(&e))? {
        let name = field.name().unwrap_or_default().to_owned();
        if name == "file" {
            let named = field.file_name().map(str::to_owned);
            file = Some((field.bytes().await.map_err(|e| broken(&e))?, named));
            continue;
        }
        let text = field.text().await.map_err(|e| broken(&e))?;
        match name.as_str() {
            "look" => said.look = Some(text),
            "overrides" => said.overrides = Some(text),
            "encoding" => said.encoding = Some(text),
            "file_name" => said.file_name = Some(text),
            _ => {}
        }
    }
    let (bytes, named) = file.ok_or_else(|| {
        PageError::BadRequest("The form has no field “file” with the list in it.".into())
    })?;
    Ok((bytes, said, named))
}

fn broken(error: &MultipartError) -> PageError {
    not_read(error.status())
}

fn not_read(status: StatusCode) -> PageError {
    if status == StatusCode::PAYLOAD_TOO_LARGE {
        PageError::TooLarge(format!(
            "The file is larger than {} MB, the most that is read. A shot list is far smaller: send the sheet with the list alone.",
            MAX_FILE_BYTES / 1024 / 1024
        ))
    } else {
        PageError::BadRequest("The file broke off before it was whole; send it again.".into())
    }
}

fn content_type(headers: &HeaderMap) -> String {
    let kind = headers
        .get(header::CONTENT_TYPE)
        .and_then(|v| v.to_str().ok());
    let kind = kind.unwrap_or_default().split(';').next();
    kind.unwrap_or_default().trim().to_ascii_lowercase()
}

/// The charset of a content type, if it is one that is read here.
fn charset(headers: &HeaderMap) -> Option<String> {
    let kind = headers.get(header::CONTENT_TYPE)?.to_str().ok()?;
    let named = kind.split(';').skip(1).find_map(|part| {
        let (name, value) = part.split_once('=')?;
        let is_charset = name.trim().eq_ignore_ascii_case("charset");
        is_charset.then(|| value.trim().trim_matches('"').to_ascii_lowercase())
    })?;
    encoding(Some(named.clone())).is_ok().then_some(named)
}

fn encoding(said: Option<String>) -> Result<Option<Encoding>, PageError> {
    let Some(name) = said.filter(|name| !name.is_empty()) else {
        return Ok(None);
    };
    let known = serde_json::from_value(name.to_ascii_lowercase().into());
    known.map(Some).map_err(|_| {
        PageError::BadRequest("encoding is one of utf-8, utf-16le, utf-16be, windows-1252.".into())
    })
}

fn overrides(said: Option<String>) -> Result<Overrides, PageError> {
    match said.filter(|text| !text.is_empty()) {
        None => Ok(Overrides::new()),
        Some(text) => serde_json::from_str(&text).map_err(|_| {
            PageError::BadRequest(
                "overrides is a JSON object: each heading with the field it stands for, or null to leave it out.".into(),
            )
        }),
    }
}

fn is_yes(said: Option<&str>) -> Result<bool, PageError> {
    match said {
        None | Some("false" | "0" | "") => Ok(false),
        Some("true" | "1") => Ok(true),
        Some(_) => Err(PageError::BadRequest("look is true or false.".into())),
    }
}
