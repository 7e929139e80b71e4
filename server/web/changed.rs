//! Sends only the parts of a page that say something else than the page that asks already shows.
//!
//! Parts are elements with an id and `data-part`. A script names those it has, each by a hash that an earlier answer gave
//! it; what differs comes back by itself, and the whole page when anything outside the parts differs.

use axum::{
    body::{Body, Bytes},
    extract::Request,
    http::{HeaderValue, StatusCode, header},
    middleware::Next,
    response::Response,
};
use http_body_util::BodyExt as _;
use std::{
    collections::HashMap,
    fmt::Write as _,
    hash::{DefaultHasher, Hasher as _},
};

/// What the page shows, "id=hash" with commas between; any other word for nothing.
const HAVE: &str = "x-stillair-have";
/// What the answer makes of it.
const AS: &str = "x-stillair-as";
/// The number a blank was written at says nothing a person sees; an older one only makes a write more careful.
const UNSEEN: [&str; 2] = ["data-base=\"", "name=\"base\" value=\""];

/// Cuts an answer down to what differs, when the request says what is there.
pub async fn only(request: Request, next: Next) -> Response {
    let have = request
        .headers()
        .get(HAVE)
        .and_then(|v| v.to_str().ok())
        .map(str::to_owned);
    let response = next.run(request).await;
    let is_page = |r: &Response| {
        let kind = r.headers().get(header::CONTENT_TYPE);
        kind.is_some_and(|k| k.as_bytes().starts_with(b"text/html"))
            && matches!(
                r.status(),
                StatusCode::OK | StatusCode::UNPROCESSABLE_ENTITY
            )
    };
    match have {
        Some(have) if is_page(&response) => cut(response, &have).await,
        _ => response,
    }
}

async fn cut(response: Response, have: &str) -> Response {
    let (mut head, body) = response.into_parts();
    let Ok(whole) = body.collect().await else {
        return Response::from_parts(head, Body::empty());
    };
    let whole = whole.to_bytes();
    let Some((names, kept)) = std::str::from_utf8(&whole)
        .ok()
        .and_then(|html| differing(html, have))
    else {
        return Response::from_parts(head, Body::from(whole));
    };
    if let Ok(names) = HeaderValue::from_str(&names) {
        head.headers.insert(AS, names);
    }
    head.headers.remove(header::CONTENT_LENGTH);
    Response::from_parts(
        head,
        kept.map_or_else(|| Body::from(whole), |k| Body::from(Bytes::from(k))),
    )
}

/// The names of a page's parts, and the parts that differ; none for them when the whole page must be sent. Nothing at all
/// for an answer that is no whole page.
fn differing(html: &str, have: &str) -> Option<(String, Option<String>)> {
    if !html.contains("<main id=\"main\"") {
        return None;
    }
    let parts = parts(html);
    let known: HashMap<&str, &str> = have
        .split(',')
        .filter_map(|pair| pair.split_once('='))
        .collect();
    let mut rest = DefaultHasher::new();
    let mut names = String::new();
    let mut changed = String::new();
    let mut from = 0;
    for part in &parts {
        hash_seen(&html[from..part.start], &mut rest);
        rest.write(part.id.as_bytes());
        from = part.end;
        let mut own = DefaultHasher::new();
        hash_seen(&html[part.start..part.end], &mut own);
        let name = format!("{:x}", own.finish());
        if known.get(part.id) != Some(&&*name) {
            let _ = writeln!(
                changed,
                "<template data-region=\"{}\">{}</template>",
                part.id,
                &html[part.start..part.end]
            );
        }
        let _ = write!(names, "{}={name},", part.id);
    }
    hash_seen(&html[from..], &mut rest);
    let rest = format!("{:x}", rest.finish());
    let is_same = known.get("rest") == Some(&&*rest);
    let _ = write!(names, "rest={rest}");
    Some((names, is_same.then_some(changed)))
}

/// Hashes what a person may see of it.
fn hash_seen(html: &str, into: &mut DefaultHasher) {
    let mut left = html;
    while let Some((at, mark)) = UNSEEN
        .iter()
        .filter_map(|mark| Some((left.find(mark)?, mark)))
        .min()
    {
        let (seen, rest) = left.split_at(at + mark.len());
        into.write(seen.as_bytes());
        left = rest.trim_start_matches(|c: char| c.is_ascii_digit());
    }
    into.write(left.as_bytes());
}

struct Part<'h> {
    id: &'h str,
    start: usize,
    end: usize,
}

/// Every element with `data-part`, the outer one where one stands in another. Pages are written by our own templates, which
/// escape what people type, so an opening tag is a tag.
fn parts(html: &str) -> Vec<Part<'_>> {
    const MARK: &str = " data-part";
    let mut found: Vec<Part<'_>> = Vec::new();
    let mut from = 0;
    while let Some(at) = html[from..].find(MARK).map(|at| from + at) {
        from = at + MARK.len();
        let Some(part) = part_at(html, at) else {
            continue;
        };
        from = part.end;
        found.push(part);
    }
    found
}

fn part_at(html: &str, mark: usize) -> Option<Part<'_>> {
    let start = html[..mark].rfind('<')?;
    let tag_end = mark + html[mark..].find('>')?;
    let tag = &html[start + 1..tag_end];
    let name = tag.split(' ').next()?;
    let id = tag.split_once(" id=\"")?.1.split('"').next()?;
    let (open, close) = (format!("<{name}"), format!("</{name}>"));
    let mut depth = 1;
    let mut at = tag_end;
    while depth > 0 {
        let closes = at + html[at..].find(&close)?;
        let opens = html[at..closes].find(&open).map(|o| at + o);
        if let Some(opens) = opens {
            // "<section" is not the beginning of "<sectional".
            let after = html[opens + open.len()..].chars().next();
            depth += i32::from(matches!(after, Some(' ' | '>' | '\n')));
            at = opens + open.len();
        } else {
            depth -= 1;
            at = closes + close.len();
        }
    }
    Some(Part { id, start, end: at })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page(light: &str, base: u32) -> String {
        format!(
            "<main id=\"main\"><h1>S3</h1><section class=\"low\" id=\"light\" data-part><section>{light}</section>\
             <input data-base=\"{base}\"></section><p>between</p><div id=\"run\" data-part><div>1</div></div></main>"
        )
    }

    #[test]
    fn only_what_differs_is_sent() {
        let (names, all) = differing(&page("800 lx", 7), "none").expect("a page");
        assert_eq!(all, None, "whoever has nothing gets the page");
        let (again, nothing) = differing(&page("800 lx", 9), &names).expect("a page");
        assert_eq!(
            (&again, nothing.as_deref()),
            (&names, Some("")),
            "a newer base shows nothing new"
        );
        let (later, light) = differing(&page("900 lx", 9), &names).expect("a page");
        let light = light.expect("a part");
        assert!(
            light
                .starts_with("<template data-region=\"light\"><section class=\"low\" id=\"light\"")
        );
        assert!(
            light.contains("900 lx")
                && !light.contains("run")
                && light.ends_with("</section></template>\n")
        );
        assert_ne!(later, names);
        let moved = page("800 lx", 7).replace("S3", "S4");
        assert_eq!(
            differing(&moved, &names).expect("a page").1,
            None,
            "what is outside the parts needs the page"
        );
    }

    #[test]
    fn pieces_of_a_page_are_left_alone() {
        assert!(differing("<template data-region=\"a\"></template>", "none").is_none());
    }

    #[test]
    fn a_part_ends_where_its_own_element_ends() {
        let html = "<div id=\"a\" data-part><div><divan></divan></div>x</div><div id=\"b\" data-part></div>";
        let found: Vec<_> = parts(html)
            .iter()
            .map(|p| (p.id, &html[p.start..p.end]))
            .collect();
        assert_eq!(found.len(), 2);
        assert!(found[0].1.ends_with("x</div>"));
        assert_eq!(found[1].0, "b");
    }
}
