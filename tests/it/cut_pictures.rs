//! Boards: pictures taken in, kept small, served, and refused in words.

use crate::{cut::Cut, harness::Answer};
use axum::http::{Request, StatusCode, header};
use image::{ExtendedColorType, ImageEncoder as _, codecs::png::PngEncoder};

fn png(width: u32, height: u32) -> Vec<u8> {
    let pixels = vec![120; (width * height * 3) as usize];
    let mut bytes = Vec::new();
    PngEncoder::new(&mut bytes)
        .write_image(&pixels, width, height, ExtendedColorType::Rgb8)
        .expect("it encodes");
    bytes
}

async fn pin_up(cut: &Cut, code: &str, file: &[u8]) -> Answer {
    const EDGE: &str = "edge-of-a-part";
    let mut body = format!(
        "--{EDGE}\r\nContent-Disposition: form-data; name=\"picture\"; filename=\"board.png\"\r\nContent-Type: image/png\r\n\r\n"
    )
    .into_bytes();
    body.extend(file);
    body.extend(format!("\r\n--{EDGE}--\r\n").bytes());
    let path = format!("{}/shots/{}/picture", cut.path(), cut.id(code).await);
    let request = Request::post(path).header(
        header::CONTENT_TYPE,
        format!("multipart/form-data; boundary={EDGE}"),
    );
    cut.book.send(request, body).await
}

#[tokio::test]
async fn a_board_is_pinned_up_drawn_and_served() {
    let cut = Cut::of(&[100]).await;
    let page = cut.page().await;
    assert!(page.contains("d-board-rule") && !page.contains("<image"));
    let answer = pin_up(&cut, "P1", &png(1280, 536)).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    let picture = cut.shot("P1").await.board_picture.to_string();
    let address = format!("/plans/{}/pictures/{picture}", cut.plan);
    let page = cut.page().await;
    assert!(
        page.contains(&format!("href=\"{address}\"")),
        "in the drawing"
    );
    assert!(page.contains(&format!("src=\"{address}\"")), "in the table");

    let served = cut.book.get(&address).await;
    assert_eq!(served.status, StatusCode::OK);
    assert_eq!(served.headers[header::CONTENT_TYPE], "image/jpeg");
    let keep = "private, max-age=31536000, immutable";
    assert_eq!(served.headers[header::CACHE_CONTROL], keep);

    // The same file again is the same picture; rubbing out takes it off the shot.
    pin_up(&cut, "P1", &png(1280, 536)).await;
    assert_eq!(cut.shot("P1").await.board_picture.as_ref(), picture);
    cut.rub_out().await;
    assert!(cut.shot("P1").await.board_picture.is_empty());
}

#[tokio::test]
async fn a_picture_belongs_to_its_plan() {
    let cut = Cut::of(&[100]).await;
    pin_up(&cut, "P1", &png(64, 32)).await;
    let picture = cut.shot("P1").await.board_picture;
    let other = cut.book.plan().await;
    for address in [
        format!("/plans/{other}/pictures/{picture}"),
        format!("/plans/{}/pictures/none", cut.plan),
    ] {
        let answer = cut.book.get(&address).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{address}");
    }
}

#[tokio::test]
async fn no_good_files_are_refused_in_words_and_the_row_stays_open() {
    let cut = Cut::of(&[100]).await;
    let whole = png(400, 300);
    let mut bomb = png(8, 8);
    bomb[16..20].copy_from_slice(&30_000_u32.to_be_bytes());
    bomb[20..24].copy_from_slice(&30_000_u32.to_be_bytes());
    for (file, said) in [
        (b"%PDF-1.7 a plan".to_vec(), "no JPEG, PNG or WebP"),
        (b"<svg xmlns=\"x\"/>".to_vec(), "no JPEG, PNG or WebP"),
        (whole[..whole.len() / 2].to_vec(), "damaged or cut short"),
        // Its header's sum is wrong, so it is damaged before its size is believed.
        (bomb, "damaged or cut short"),
        (Vec::new(), "Choose a picture first."),
    ] {
        let answer = pin_up(&cut, "P1", &file).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{said}");
        assert!(answer.text.contains(said), "{said}");
        assert!(answer.text.contains("Pin it up"), "the row is open");
    }
    assert!(cut.shot("P1").await.board_picture.is_empty());
}

#[tokio::test]
async fn a_file_over_the_limit_is_refused_in_words() {
    let cut = Cut::of(&[100]).await;
    let answer = pin_up(&cut, "P1", &vec![0; 21 << 20]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        answer.text.contains("That file is over 20 MB."),
        "{}",
        answer.text
    );
    // Under it, but over what other pages take.
    let answer = pin_up(&cut, "P1", &vec![0; 3 << 20]).await;
    assert!(answer.text.contains("no JPEG, PNG or WebP"));
}

#[tokio::test]
async fn a_form_that_is_no_upload_is_refused() {
    let cut = Cut::of(&[100]).await;
    let path = format!("{}/shots/{}/picture", cut.path(), cut.id("P1").await);
    let answer = cut.book.post_form(&path, &[("picture", "x")]).await;
    assert_eq!(answer.status, StatusCode::UNSUPPORTED_MEDIA_TYPE);
}
