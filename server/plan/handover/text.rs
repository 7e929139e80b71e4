//! Bytes to text: UTF-8, UTF-16 with its mark, Windows-1252 only when asked for.

use serde::{Deserialize, Serialize};

use super::problems::{Refused, shortened};

/// How the characters of a file are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Encoding {
    #[serde(rename = "utf-8")]
    Utf8,
    #[serde(rename = "utf-16le")]
    Utf16Le,
    #[serde(rename = "utf-16be")]
    Utf16Be,
    #[serde(rename = "windows-1252")]
    Windows1252,
}

impl Encoding {
    /// The registered name, as it stands in a request.
    pub fn name(self) -> &'static str {
        match self {
            Self::Utf8 => "utf-8",
            Self::Utf16Le => "utf-16le",
            Self::Utf16Be => "utf-16be",
            Self::Windows1252 => "windows-1252",
        }
    }
}

/// The text of a file without its mark. A mark in the file outranks what was asked for: it cannot be a letter.
///
/// Invalid UTF-8 is not guessed at: the refusal names the byte and shows the line as Windows-1252 would have it, and
/// the sender asks for that by name.
///
/// # Errors
/// Bytes that are no text in the encoding found or asked for, and zero bytes.
pub fn decode(bytes: &[u8], asked_for: Option<Encoding>) -> Result<(String, Encoding), Refused> {
    let (text, encoding) = match bytes {
        [0xEF, 0xBB, 0xBF, rest @ ..] => (utf8(bytes, rest)?, Encoding::Utf8),
        [0xFF, 0xFE, rest @ ..] => (utf16(encoding_rs::UTF_16LE, rest)?, Encoding::Utf16Le),
        [0xFE, 0xFF, rest @ ..] => (utf16(encoding_rs::UTF_16BE, rest)?, Encoding::Utf16Be),
        _ => match asked_for {
            Some(Encoding::Windows1252) => (windows_1252(bytes), Encoding::Windows1252),
            Some(Encoding::Utf16Le) => (utf16(encoding_rs::UTF_16LE, bytes)?, Encoding::Utf16Le),
            Some(Encoding::Utf16Be) => (utf16(encoding_rs::UTF_16BE, bytes)?, Encoding::Utf16Be),
            Some(Encoding::Utf8) | None => (utf8(bytes, bytes)?, Encoding::Utf8),
        },
    };
    match text.find('\0') {
        Some(at) => Err(Refused::ZeroByte {
            line: line_at(text.as_bytes(), at),
        }),
        None => Ok((text, encoding)),
    }
}

fn windows_1252(bytes: &[u8]) -> String {
    encoding_rs::WINDOWS_1252
        .decode_without_bom_handling(bytes)
        .0
        .into_owned()
}

fn utf8(whole: &[u8], rest: &[u8]) -> Result<String, Refused> {
    let error = match str::from_utf8(rest) {
        Ok(text) => return Ok(text.to_owned()),
        Err(error) => error,
    };
    // UTF-16 without its mark fails here too, and no reading of single bytes would help it.
    if let Some(at) = whole.iter().position(|byte| *byte == 0) {
        return Err(Refused::ZeroByte {
            line: line_at(whole, at),
        });
    }
    let byte_offset = whole.len() - rest.len() + error.valid_up_to();
    let is_break = |byte: &u8| matches!(byte, b'\n' | b'\r');
    let start = whole[..byte_offset]
        .iter()
        .rposition(is_break)
        .map_or(0, |at| at + 1);
    let start = start.max(whole.len() - rest.len());
    let end = whole[byte_offset..]
        .iter()
        .position(is_break)
        .map_or(whole.len(), |length| byte_offset + length);
    Err(Refused::NotUtf8 {
        byte_offset,
        line: line_at(whole, byte_offset),
        byte: whole[byte_offset],
        as_windows_1252: shortened(&windows_1252(&whole[start..end])),
    })
}

fn utf16(encoding: &'static encoding_rs::Encoding, rest: &[u8]) -> Result<String, Refused> {
    if let Some(text) = encoding.decode_without_bom_handling_and_without_replacement(rest) {
        return Ok(text.into_owned());
    }
    // The library does not say where; what came out before the first replacement tells the line.
    let (text, _) = encoding.decode_without_bom_handling(rest);
    let at = text.find(char::REPLACEMENT_CHARACTER).unwrap_or(text.len());
    Err(Refused::BadUtf16 {
        line: line_at(text.as_bytes(), at),
    })
}

/// Physical line of a byte, counted from 1; CR LF, LF and a lone CR each end a line.
fn line_at(bytes: &[u8], at: usize) -> usize {
    1 + line_breaks(&bytes[..at])
}

/// Line breaks in a piece of text: CR LF counts once.
pub fn line_breaks(bytes: &[u8]) -> usize {
    let mut breaks = 0;
    let mut after_cr = false;
    for byte in bytes {
        breaks += usize::from(*byte == b'\r' || (*byte == b'\n' && !after_cr));
        after_cr = *byte == b'\r';
    }
    breaks
}
