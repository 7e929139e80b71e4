//! The two looks of a sheet: lights up on paper, and blackout on a dark stage.
//!
//! The look is kept on each device by a cookie, because a phone on the stage and a screen in the workshop belong to the
//! same person. In blackout the answer itself paints black before any style sheet has come, so nothing flashes.

use std::convert::Infallible;
use std::sync::LazyLock;

use axum::extract::FromRequestParts;
use axum::http::header::{COOKIE, SET_COOKIE};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderValue};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::post;
use axum::{Form, Router};
use serde::Deserialize;
use sha2::{Digest, Sha256};

/// The only inline style of the program: the black first paint of blackout.
pub const FIRST_PAINT: &str = "html{background:#000;color:#cf7a32}";

/// Where the switch is posted.
pub const SWITCH: &str = "/look";

const COOKIE_NAME: &str = "look";
const YEAR_S: u32 = 31_536_000;

/// How a sheet is drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Look {
    /// Ink on pale green paper.
    #[default]
    Lights,
    /// Amber lines on black.
    Blackout,
}

impl Look {
    /// The word in the cookie, the form and `data-look`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Lights => "lights",
            Self::Blackout => "blackout",
        }
    }

    fn from_word(word: &str) -> Option<Self> {
        [Self::Lights, Self::Blackout]
            .into_iter()
            .find(|look| look.word() == word)
    }

    pub fn is_blackout(self) -> bool {
        self == Self::Blackout
    }

    /// The look the switch leads to.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::Lights => Self::Blackout,
            Self::Blackout => Self::Lights,
        }
    }

    /// What the switch that leads *to* this look says.
    pub fn switch_label(self) -> &'static str {
        match self {
            Self::Lights => "Lights up",
            Self::Blackout => "Blackout",
        }
    }

    /// Colour of the browser's own frame.
    pub fn theme_color(self) -> &'static str {
        match self {
            Self::Lights => "#d3dacd",
            Self::Blackout => "#000000",
        }
    }

    /// `color-scheme` of the page, so that scroll bars and menus follow.
    pub fn color_scheme(self) -> &'static str {
        match self {
            Self::Lights => "light",
            Self::Blackout => "dark",
        }
    }

    /// The look asked for by the request's cookie; lights when there is none or an unknown one.
    pub fn from_headers(headers: &HeaderMap) -> Self {
        headers
            .get_all(COOKIE)
            .iter()
            .filter_map(|line| line.to_str().ok())
            .flat_map(|line| line.split(';'))
            .filter_map(|pair| pair.trim().split_once('='))
            .find(|(name, _)| *name == COOKIE_NAME)
            .and_then(|(_, word)| Self::from_word(word))
            .unwrap_or_default()
    }

    fn cookie(self) -> HeaderValue {
        let line = format!(
            "{COOKIE_NAME}={}; Path=/; Max-Age={YEAR_S}; HttpOnly; SameSite=Lax",
            self.word()
        );
        HeaderValue::try_from(line).expect("the words of a look are plain letters")
    }
}

impl<S: Sync> FromRequestParts<S> for Look {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Infallible> {
        Ok(Self::from_headers(&parts.headers))
    }
}

/// The source expression that lets [`FIRST_PAINT`] through the content security policy: `'sha256-…'`, quotes included.
pub fn first_paint_hash() -> &'static str {
    static HASH: LazyLock<String> =
        LazyLock::new(|| format!("'sha256-{}'", base64(&Sha256::digest(FIRST_PAINT))));
    &HASH
}

/// Serves the switch: a form with `look` and `back`, answered by the way back.
pub fn router<S: Clone + Send + Sync + 'static>() -> Router<S> {
    Router::new().route(SWITCH, post(switch))
}

#[derive(Deserialize)]
struct Asked {
    look: String,
    #[serde(default)]
    back: String,
}

async fn switch(Form(asked): Form<Asked>) -> Response {
    let look = Look::from_word(&asked.look).unwrap_or_default();
    let back = Redirect::to(own_path(&asked.back));
    ([(SET_COOKIE, look.cookie())], back).into_response()
}

/// The path if it leads to a page of ours, else the first page. Browsers read `//host`, `/\host` and a path with control
/// letters in it as another site.
pub fn own_path(path: &str) -> &str {
    let ours = path.starts_with('/')
        && !path[1..].starts_with(['/', '\\'])
        && path.chars().all(|c| !c.is_control() && c != '\\');
    if ours { path } else { "/" }
}

/// Standard base 64 with padding (RFC 4648 §4); the digest is the only thing the program writes so.
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for group in bytes.chunks(3) {
        let word = (0..3).fold(0_usize, |word, at| {
            word << 8 | usize::from(*group.get(at).unwrap_or(&0))
        });
        for at in 0..4 {
            out.push(if at <= group.len() {
                char::from(LETTERS[word >> (18 - 6 * at) & 63])
            } else {
                '='
            });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use axum::body::Body;
    use axum::http::{Request, StatusCode, header};
    use tower::ServiceExt as _;

    use super::*;

    async fn press(form: &str) -> (StatusCode, String, String) {
        let request = Request::post(SWITCH)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .body(Body::from(form.to_owned()))
            .unwrap();
        let answer = router::<()>().oneshot(request).await.unwrap();
        let read = |name| {
            answer
                .headers()
                .get(name)
                .map(|v: &HeaderValue| v.to_str().unwrap().to_owned())
                .unwrap_or_default()
        };
        (answer.status(), read(header::LOCATION), read(SET_COOKIE))
    }

    #[tokio::test]
    async fn the_switch_keeps_the_look_and_goes_back_to_the_page() {
        let (status, location, cookie) =
            press("look=blackout&back=%2Fplans%2F1%2Fcut%3Fpass%3D2").await;
        assert_eq!(status, StatusCode::SEE_OTHER);
        assert_eq!(location, "/plans/1/cut?pass=2");
        assert!(cookie.starts_with("look=blackout; Path=/;"), "{cookie}");
        let mut headers = HeaderMap::new();
        headers.append(COOKIE, HeaderValue::from_static("s=1; look=blackout"));
        assert_eq!(Look::from_headers(&headers), Look::Blackout);
    }

    #[tokio::test]
    async fn the_switch_never_leads_to_another_site() {
        for back in [
            "https%3A%2F%2Felsewhere.test%2F",
            "%2F%2Felsewhere.test",
            "%2F%5Celsewhere.test",
            "%2F%09%2Felsewhere.test",
            "%2Fcut%5C%5Celsewhere.test",
            "javascript%3Aalert(1)",
            "",
        ] {
            let (_, location, _) = press(&format!("look=lights&back={back}")).await;
            assert_eq!(location, "/", "{back}");
        }
    }

    #[test]
    fn an_unknown_look_is_lights_up() {
        let mut headers = HeaderMap::new();
        assert_eq!(Look::from_headers(&headers), Look::Lights);
        headers.append(COOKIE, HeaderValue::from_static("look=neon"));
        assert_eq!(Look::from_headers(&headers), Look::Lights);
    }

    /// Test vectors of RFC 4648 §10.
    #[test]
    fn base64_agrees_with_the_standard() {
        for (plain, written) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(plain.as_bytes()), written);
        }
    }

    #[test]
    fn the_hash_is_a_whole_sha256() {
        let hash = first_paint_hash();
        assert!(
            hash.starts_with("'sha256-") && hash.ends_with("='"),
            "{hash}"
        );
        assert_eq!(hash.len(), "'sha256-'".len() + 44);
    }
}
