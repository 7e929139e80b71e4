//! The files a browser asks for: styles, scripts, lettering.
//!
//! They stand under one address that names the whole folder by its content, so a browser may keep them for a year and
//! relative imports between scripts keep working. Debug builds read the folder from disk and let nothing be kept, so
//! a style can be changed without building.

use std::borrow::Cow;
use std::fmt::Write as _;
use std::sync::LazyLock;

use axum::Router;
use axum::extract::Path;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use rust_embed::RustEmbed;
use sha2::{Digest, Sha256};

#[derive(RustEmbed)]
#[folder = "static/"]
#[include = "css/*.css"]
#[include = "js/*.js"]
#[include = "icons/*"]
#[include = "lettering/*.woff2"]
struct Folder;

/// The one sheet of styles a page links. On disk it only imports the others; see [`joined`].
const STYLES: &str = "css/all.css";

static PREFIX: LazyLock<String> = LazyLock::new(|| format!("/static/{}", folder_hash()));

/// Where the files stand: `/static/` and the hash of the folder, without a slash at the end.
pub fn prefix() -> &'static str {
    &PREFIX
}

/// Where the script stands that keeps sheets for a browser: at the root, since it may only keep what stands below it.
pub const KEEPER: &str = "/keeper.js";

/// Serves the folder under [`prefix`].
pub fn router<S: Clone + Send + Sync + 'static>() -> Router<S> {
    Router::new()
        .route("/static/{hash}/{*path}", get(file))
        .route(KEEPER, get(keeper))
}

/// The keeper is asked for anew each time, so that a newer program replaces it.
async fn keeper() -> Response {
    let path = "js/keeper.js";
    let Some(bytes) = content(path) else {
        return missing();
    };
    let own = [
        (header::CONTENT_TYPE, content_type(path)),
        (header::CACHE_CONTROL, HeaderValue::from_static("no-cache")),
    ];
    (own, bytes).into_response()
}

async fn file(Path((hash, path)): Path<(String, String)>) -> Response {
    // A page of an older program asks under an older hash: what it wants is gone, and must not be kept under that name.
    if Some(hash.as_str()) != prefix().strip_prefix("/static/") {
        return missing();
    }
    let Some(bytes) = content(&path) else {
        return missing();
    };
    let keep = if cfg!(debug_assertions) {
        "no-cache"
    } else {
        "public, max-age=31536000, immutable"
    };
    (
        [
            (header::CONTENT_TYPE, content_type(&path)),
            (header::CACHE_CONTROL, HeaderValue::from_static(keep)),
        ],
        bytes,
    )
        .into_response()
}

fn missing() -> Response {
    (StatusCode::NOT_FOUND, "There is no such file here.").into_response()
}

fn content(path: &str) -> Option<Cow<'static, [u8]>> {
    let bytes = Folder::get(path)?.data;
    if path != STYLES {
        return Some(bytes);
    }
    Some(Cow::Owned(
        joined(&String::from_utf8_lossy(&bytes)).into_bytes(),
    ))
}

/// The styles with their imports written out, so a page waits for one answer and not for one after another.
fn joined(imports: &str) -> String {
    let mut out = String::new();
    for line in imports.lines() {
        if let Some((name, layer)) = imported(line) {
            let part =
                Folder::get(&format!("css/{name}")).map_or(Cow::Borrowed(&[][..]), |f| f.data);
            let part = String::from_utf8_lossy(&part);
            let _ = writeln!(out, "@layer {layer} {{\n{part}}}");
        } else {
            out.push_str(line);
            out.push('\n');
        }
    }
    out
}

/// File and layer of a line `@import "name.css" layer(name);`.
fn imported(line: &str) -> Option<(&str, &str)> {
    let (name, rest) = line.trim().strip_prefix("@import \"")?.split_once('"')?;
    let layer = rest.trim().strip_prefix("layer(")?.strip_suffix(");")?;
    Some((name, layer))
}

fn content_type(path: &str) -> HeaderValue {
    let kind = mime_guess::from_path(path).first_or_octet_stream();
    let text = if kind.type_() == mime_guess::mime::TEXT {
        format!("{kind}; charset=utf-8")
    } else {
        kind.to_string()
    };
    HeaderValue::try_from(text).unwrap_or(HeaderValue::from_static("application/octet-stream"))
}

/// Sixteen hexadecimal digits that change when any name or byte in the folder does.
fn folder_hash() -> String {
    // Sorted, because the folder is listed in the order the disk keeps it.
    let mut names: Vec<_> = Folder::iter().collect();
    names.sort();
    let mut sum = Sha256::new();
    for name in names {
        let bytes = Folder::get(&name).map(|f| f.data).unwrap_or_default();
        sum.update((name.len() as u64).to_be_bytes());
        sum.update(name.as_bytes());
        sum.update((bytes.len() as u64).to_be_bytes());
        sum.update(&bytes);
    }
    let digest = sum.finalize();
    digest[..8].iter().fold(String::new(), |mut hex, byte| {
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}

#[cfg(test)]
mod tests {
    use axum::body::Body;
    use axum::http::Request;
    use http_body_util::BodyExt as _;
    use tower::ServiceExt as _;

    use super::*;

    async fn ask(path: &str) -> (StatusCode, String, Vec<u8>) {
        let request = Request::get(path).body(Body::empty()).unwrap();
        let answer = router::<()>().oneshot(request).await.unwrap();
        let kind = answer
            .headers()
            .get(header::CONTENT_TYPE)
            .map(|v| v.to_str().unwrap().to_owned())
            .unwrap_or_default();
        let status = answer.status();
        let body = answer.into_body().collect().await.unwrap().to_bytes();
        (status, kind, body.to_vec())
    }

    #[tokio::test]
    async fn each_kind_of_file_says_what_it_is() {
        for (path, expected) in [
            ("css/tokens.css", "text/css; charset=utf-8"),
            ("js/main.js", "text/javascript; charset=utf-8"),
            ("lettering/StillairLettering-Regular.woff2", "font/woff2"),
        ] {
            let (status, kind, body) = ask(&format!("{}/{path}", prefix())).await;
            assert_eq!(status, StatusCode::OK, "{path}");
            assert_eq!(kind, expected, "{path}");
            assert!(!body.is_empty(), "{path}");
        }
    }

    #[tokio::test]
    async fn an_old_hash_and_an_unknown_file_are_not_found() {
        for path in [
            "/static/0000000000000000/css/tokens.css".to_owned(),
            format!("{}/css/none.css", prefix()),
            format!("{}/lettering/build.py", prefix()),
            format!("{}/../Cargo.toml", prefix()),
        ] {
            assert_eq!(ask(&path).await.0, StatusCode::NOT_FOUND, "{path}");
        }
    }

    #[tokio::test]
    async fn the_joined_styles_hold_every_file_once_and_import_nothing() {
        let (_, _, body) = ask(&format!("{}/{STYLES}", prefix())).await;
        let joined = String::from_utf8(body).unwrap();
        assert!(!joined.contains("@import"));
        let list = Folder::get(STYLES).unwrap().data;
        let list = String::from_utf8(list.to_vec()).unwrap();
        for name in Folder::iter().filter(|n| n.starts_with("css/") && n != STYLES) {
            let file = name.trim_start_matches("css/");
            let times = list
                .lines()
                .filter_map(imported)
                .filter(|(n, _)| *n == file)
                .count();
            assert_eq!(times, 1, "{name} in {STYLES}");
            let text = String::from_utf8(Folder::get(&name).unwrap().data.to_vec()).unwrap();
            assert!(
                joined.contains(&text),
                "{name} is missing from the joined styles"
            );
            assert_eq!(
                text.matches('{').count(),
                text.matches('}').count(),
                "{name} has a bracket that is not closed"
            );
        }
    }

    #[test]
    fn the_hash_is_the_same_each_time() {
        assert_eq!(folder_hash(), folder_hash());
        assert_eq!(folder_hash().len(), 16);
    }
}
