//! Board pictures: taken in bounded, read under limits, turned upright, made small, and kept without whatever else the
//! file said (place, camera, names).

use crate::{
    error::PageError,
    journal::{value::Id, writer::now_ms},
    web::page::Desk,
};
use axum::{
    extract::{Multipart, Path, multipart::MultipartError},
    http::{HeaderValue, StatusCode, header},
    response::{IntoResponse as _, Response},
    routing::get,
};
use image::{
    DynamicImage, ImageDecoder as _, ImageError, ImageFormat, ImageReader, RgbImage,
    codecs::jpeg::JpegEncoder, imageops::FilterType,
};
use sha2::{Digest as _, Sha256};
use std::{fmt::Write as _, io::Cursor};
use tokio::sync::Semaphore;

/// Largest file taken in.
pub const MOST_BYTES: usize = 20 << 20;
/// Largest picture unpacked; a small file can claim to hold far more.
const MOST_PIXELS: u64 = 60_000_000;
/// What a picture may take while it is unpacked: the pixels above at four bytes, and as much again to work in.
const MOST_MEMORY: u64 = 8 * MOST_PIXELS;
/// Pictures are kept at most this wide, and no taller than a page.
const KEPT_WIDTH_PX: u32 = 640;
const KEPT_HEIGHT_PX: u32 = 1600;
const JPEG_QUALITY: u8 = 85;

/// Unpacking takes memory, so only so many at a time.
static UNPACKING: Semaphore = Semaphore::const_new(2);

/// Address of the pictures of a plan.
pub fn routes() -> crate::web::routes::Routes {
    crate::web::routes::Routes::new().route("/plans/{plan}/pictures/{picture}", get(show))
}

/// Address of a picture.
pub fn href(plan: &Id, picture: &str) -> Option<String> {
    Id::parse(picture).map(|id| format!("/plans/{plan}/pictures/{id}"))
}

async fn show(desk: Desk, Path((_, id)): Path<(String, String)>) -> Result<Response, PageError> {
    let plan = desk.plan.id.as_str();
    let found = sqlx::query!(
        "select kind, bytes from picture where id = ? and plan = ?",
        id,
        plan
    )
    .fetch_optional(desk.app.store.readers())
    .await?
    .ok_or_else(|| PageError::no_such("picture"))?;
    let kind = HeaderValue::try_from(found.kind)
        .unwrap_or(HeaderValue::from_static("application/octet-stream"));
    // Its name is the hash of what it holds, so it never changes; it is the crew's, so no shared cache keeps it.
    let keep = HeaderValue::from_static("private, max-age=31536000, immutable");
    Ok((
        [(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, keep)],
        found.bytes,
    )
        .into_response())
}

/// Why a file did not become a picture, in words for whoever chose it.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PictureFault {
    /// Nothing was chosen.
    #[error("Choose a picture first.")]
    None,
    /// The file.
    #[error("That file is over 20 MB. Save the picture smaller, then choose it again.")]
    TooLarge,
    /// Its kind.
    #[error(
        "That file is no JPEG, PNG or WebP picture. Save it as one of them, then choose it again."
    )]
    OtherKind,
    /// Its pixels.
    #[error(
        "That picture is {width_px} × {height_px} pixels, more than the 60 million read here. Save it smaller, then choose it again."
    )]
    TooManyPixels {
        /// Width.
        width_px: u32,
        /// Height.
        height_px: u32,
    },
    /// Its content.
    #[error("That picture is damaged or cut short. Save it again, then choose it again.")]
    Damaged,
}

/// The bytes of the file in a form.
///
/// # Errors
/// Nothing chosen, or too much; a broken form is `Damaged`.
pub async fn chosen(form: &mut Multipart) -> Result<Vec<u8>, PictureFault> {
    while let Some(field) = form.next_field().await.map_err(|e| broken(&e))? {
        if field.name() == Some("picture") {
            let bytes = field.bytes().await.map_err(|e| broken(&e))?;
            return if bytes.is_empty() {
                Err(PictureFault::None)
            } else {
                Ok(bytes.to_vec())
            };
        }
    }
    Err(PictureFault::None)
}

fn broken(error: &MultipartError) -> PictureFault {
    if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
        PictureFault::TooLarge
    } else {
        PictureFault::Damaged
    }
}

/// Makes a file into a picture of this plan and keeps it; gives its id.
///
/// # Errors
/// `Ok(Err(…))` when the file is no good; the store's otherwise.
pub async fn keep(desk: &Desk, file: Vec<u8>) -> Result<Result<Id, PictureFault>, PageError> {
    let turn = UNPACKING
        .acquire()
        .await
        .map_err(|e| PageError::Internal(e.to_string()))?;
    let made = tokio::task::spawn_blocking(move || small_jpeg(&file))
        .await
        .map_err(|e| PageError::Internal(e.to_string()))?;
    drop(turn);
    let picture = match made {
        Ok(picture) => picture,
        Err(fault) => return Ok(Err(fault)),
    };
    let plan = desk.plan.id.to_string();
    let id = name(&plan, &picture.bytes);
    let (row_id, now) = (id.to_string(), now_ms());
    desk.app
        .store
        .aside(Box::new(move |db| {
            Box::pin(async move {
                sqlx::query!(
                    "insert into picture (id, plan, kind, width_px, height_px, bytes, made_at_ms)
                     values (?, ?, 'image/jpeg', ?, ?, ?, ?) on conflict (id) do nothing",
                    row_id,
                    plan,
                    picture.width_px,
                    picture.height_px,
                    picture.bytes,
                    now
                )
                .execute(db)
                .await
                .map(drop)
            })
        }))
        .await?;
    Ok(Ok(id))
}

/// A picture's name: the hash of what it holds, and of the plan it belongs to.
fn name(plan: &str, bytes: &[u8]) -> Id {
    let digest = Sha256::new()
        .chain_update(plan)
        .chain_update(b"\n")
        .chain_update(bytes)
        .finalize();
    let hex = digest[..16].iter().fold(String::new(), |mut hex, byte| {
        let _ = write!(hex, "{byte:02x}");
        hex
    });
    Id::parse(&hex).expect("hexadecimal digits make an id")
}

/// A picture as it is kept.
#[derive(Debug)]
struct Picture {
    width_px: u32,
    height_px: u32,
    bytes: Vec<u8>,
}

/// Reads a file and makes it small and upright.
fn small_jpeg(file: &[u8]) -> Result<Picture, PictureFault> {
    let upright = read(file)?;
    let fits = upright.width() <= KEPT_WIDTH_PX && upright.height() <= KEPT_HEIGHT_PX;
    let small = if fits {
        upright
    } else {
        upright.resize(KEPT_WIDTH_PX, KEPT_HEIGHT_PX, FilterType::Triangle)
    };
    let flat = on_white(&small);
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, JPEG_QUALITY)
        .encode_image(&flat)
        .map_err(|_| PictureFault::Damaged)?;
    Ok(Picture {
        width_px: flat.width(),
        height_px: flat.height(),
        bytes,
    })
}

fn read(file: &[u8]) -> Result<DynamicImage, PictureFault> {
    let format = image::guess_format(file).map_err(|_| PictureFault::OtherKind)?;
    if !matches!(
        format,
        ImageFormat::Jpeg | ImageFormat::Png | ImageFormat::WebP
    ) {
        return Err(PictureFault::OtherKind);
    }
    if format == ImageFormat::Jpeg && is_cut_short(file) {
        return Err(PictureFault::Damaged);
    }
    let mut reader = ImageReader::with_format(Cursor::new(file), format);
    let mut limits = image::Limits::default();
    limits.max_alloc = Some(MOST_MEMORY);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(|e| fault(&e))?;
    let (width_px, height_px) = decoder.dimensions();
    if u64::from(width_px) * u64::from(height_px) > MOST_PIXELS {
        return Err(PictureFault::TooManyPixels {
            width_px,
            height_px,
        });
    }
    let orientation = decoder.orientation().map_err(|e| fault(&e))?;
    let mut picture = DynamicImage::from_decoder(decoder).map_err(|e| fault(&e))?;
    picture.apply_orientation(orientation);
    Ok(picture)
}

fn fault(error: &ImageError) -> PictureFault {
    match error {
        ImageError::Unsupported(_) => PictureFault::OtherKind,
        _ => PictureFault::Damaged,
    }
}

/// Whether a JPEG lacks its end: readers make up the rest in grey, and a board would be half a picture. The scan's data
/// never holds the end mark, so it must stand somewhere after the last scan begins (ISO/IEC 10918-1, B.1.1).
fn is_cut_short(file: &[u8]) -> bool {
    const SCAN: [u8; 2] = [0xFF, 0xDA];
    const END: [u8; 2] = [0xFF, 0xD9];
    let last = |mark: [u8; 2]| file.windows(2).rposition(|pair| pair == mark);
    last(END) < last(SCAN)
}

/// What is seen through becomes the white of the paper; JPEG holds no other.
fn on_white(picture: &DynamicImage) -> RgbImage {
    if !picture.color().has_alpha() {
        return picture.to_rgb8();
    }
    let seen = picture.to_rgba8();
    let mut flat = RgbImage::new(seen.width(), seen.height());
    for (to, from) in flat.pixels_mut().zip(seen.pixels()) {
        let [red, green, blue, alpha] = from.0.map(u32::from);
        to.0 = [red, green, blue].map(|part| {
            let mixed = (part * alpha + 255 * (255 - alpha) + 127) / 255;
            u8::try_from(mixed).unwrap_or(u8::MAX)
        });
    }
    flat
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{ImageEncoder as _, Rgb, Rgba, RgbaImage, codecs::png::PngEncoder};

    fn jpeg(picture: &RgbImage) -> Vec<u8> {
        let mut bytes = Vec::new();
        JpegEncoder::new(&mut bytes)
            .encode_image(picture)
            .expect("it encodes");
        bytes
    }

    fn png(width: u32, height: u32) -> Vec<u8> {
        let picture = RgbaImage::from_pixel(width, height, Rgba([0, 0, 0, 0]));
        let mut bytes = Vec::new();
        PngEncoder::new(&mut bytes)
            .write_image(&picture, width, height, image::ExtendedColorType::Rgba8)
            .expect("it encodes");
        bytes
    }

    fn opened(picture: &Picture) -> RgbImage {
        image::load_from_memory(&picture.bytes)
            .expect("it reads back")
            .to_rgb8()
    }

    #[test]
    fn a_large_picture_is_made_small_in_proportion() {
        let kept = small_jpeg(&jpeg(&RgbImage::new(1912, 800))).expect("taken");
        assert_eq!((kept.width_px, kept.height_px), (640, 268));
        let small = small_jpeg(&jpeg(&RgbImage::new(120, 50))).expect("taken");
        assert_eq!((small.width_px, small.height_px), (120, 50));
    }

    #[test]
    fn what_is_seen_through_becomes_white() {
        let kept = small_jpeg(&png(20, 10)).expect("taken");
        let middle = opened(&kept).get_pixel(10, 5).0;
        assert!(middle.iter().all(|part| *part > 250), "{middle:?}");
    }

    /// A JPEG with an Exif segment that says how it lies and where it was taken (Exif 2.32, tags 0x0112 and 0x010E).
    pub(crate) fn turned(orientation: u8) -> Vec<u8> {
        let mut picture = RgbImage::from_pixel(64, 32, Rgb([0, 0, 0]));
        for x in 0..32 {
            for y in 0..32 {
                picture.put_pixel(x, y, Rgb([255, 255, 255]));
            }
        }
        let plain = jpeg(&picture);
        let mut exif = b"Exif\0\0MM\0*\0\0\0\x08\0\x02".to_vec();
        exif.extend([0x01, 0x0E, 0, 2, 0, 0, 0, 8, 0, 0, 0, 0x26]);
        exif.extend([0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, orientation, 0, 0]);
        exif.extend([0, 0, 0, 0]);
        exif.extend(b"lane 12\0");
        let length = u16::try_from(exif.len() + 2).expect("short").to_be_bytes();
        let mut file = plain[..2].to_vec();
        file.extend([0xFF, 0xE1]);
        file.extend(length);
        file.extend(exif);
        file.extend(&plain[2..]);
        file
    }

    #[test]
    fn it_is_turned_upright_and_says_nothing_else() {
        let file = turned(6);
        assert!(file.windows(7).any(|w| w == b"lane 12"));
        let kept = small_jpeg(&file).expect("taken");
        assert_eq!((kept.width_px, kept.height_px), (32, 64));
        let upright = opened(&kept);
        assert!(upright.get_pixel(16, 8).0[0] > 240, "left went to the top");
        assert!(upright.get_pixel(16, 56).0[0] < 15);
        assert!(!kept.bytes.windows(4).any(|w| w == b"Exif" || w == b"lane"));
    }

    #[test]
    fn what_is_no_picture_is_refused_in_words() {
        for file in [
            b"%PDF-1.7 not a picture".to_vec(),
            b"GIF89a\x01\0\x01\0".to_vec(),
            b"<svg xmlns='http://www.w3.org/2000/svg'/>".to_vec(),
            Vec::new(),
        ] {
            assert_eq!(small_jpeg(&file).unwrap_err(), PictureFault::OtherKind);
        }
        let mut noise = RgbImage::new(300, 200);
        for (at, pixel) in noise.pixels_mut().enumerate() {
            let part = u8::try_from(at * 7919 % 251).expect("below 251");
            pixel.0 = [part, part.wrapping_mul(3), part.wrapping_mul(7)];
        }
        let whole = jpeg(&noise);
        for share in [2, 3, 10] {
            let part = &whole[..whole.len() / share];
            assert_eq!(small_jpeg(part).unwrap_err(), PictureFault::Damaged);
        }
        let drawn = png(300, 200);
        assert_eq!(
            small_jpeg(&drawn[..drawn.len() / 2]).unwrap_err(),
            PictureFault::Damaged
        );
    }

    #[test]
    fn a_small_file_that_claims_to_be_vast_is_not_unpacked() {
        let mut file = png(8, 8);
        // Width and height stand in the header chunk, then its CRC-32 (PNG specification, 11.2.2 and annex D).
        file[16..20].copy_from_slice(&20_000_u32.to_be_bytes());
        file[20..24].copy_from_slice(&20_000_u32.to_be_bytes());
        let crc = crc32(&file[12..29]);
        file[29..33].copy_from_slice(&crc.to_be_bytes());
        assert_eq!(
            small_jpeg(&file).unwrap_err(),
            PictureFault::TooManyPixels {
                width_px: 20_000,
                height_px: 20_000
            }
        );
    }

    fn crc32(bytes: &[u8]) -> u32 {
        !bytes.iter().fold(!0, |crc: u32, byte| {
            (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
                if crc & 1 == 1 {
                    crc >> 1 ^ 0xEDB8_8320
                } else {
                    crc >> 1
                }
            })
        })
    }
}
