//! What comes out of the printer, read back with `pdfinfo` and `pdftotext` (poppler).

use fantoccini::wd::{PrintConfiguration, PrintMargins, PrintSize};
use std::{path::Path, process::Command};

/// A sheet of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    A4,
    /// 8½ × 11 in.
    Letter,
}

impl Paper {
    pub(super) fn configuration(self) -> PrintConfiguration {
        let size = match self {
            Self::A4 => PrintSize::A4,
            Self::Letter => PrintSize::US_LETTER,
        };
        // The style sheet of the page sets the margins.
        let none = PrintMargins {
            top: 0.0,
            bottom: 0.0,
            left: 0.0,
            right: 0.0,
        };
        PrintConfiguration::builder()
            .size(size)
            .margins(none)
            .background(true)
            .build()
            .expect("a sheet the browser knows")
    }

    /// Width and height, in points of 1/72 in.
    pub fn size_pt(self) -> (f64, f64) {
        match self {
            Self::A4 => (595.0, 842.0),
            Self::Letter => (612.0, 792.0),
        }
    }
}

/// A printed page or pages.
#[derive(Debug)]
pub struct Printed {
    /// How many sheets.
    pub pages: usize,
    /// Width and height of the first, in points of 1/72 in.
    pub size_pt: (f64, f64),
    /// All words, set out as on the sheet.
    pub text: String,
}

impl Printed {
    pub(super) fn read(pdf: &[u8]) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let file = folder.path().join("sheet.pdf");
        std::fs::write(&file, pdf).expect("it is written");
        let facts = tool("pdfinfo", &[], &file);
        let fact = |name: &str| {
            let line = facts.lines().find_map(|line| line.strip_prefix(name));
            line.unwrap_or_else(|| panic!("pdfinfo says {name}: {facts}"))
                .trim()
        };
        let size: Vec<f64> = fact("Page size:")
            .split_whitespace()
            .filter_map(|word| word.parse().ok())
            .collect();
        Self {
            pages: fact("Pages:").parse().expect("a number of pages"),
            size_pt: (size[0], size[1]),
            text: tool("pdftotext", &["-layout"], &file),
        }
    }

    /// Whether it came out on this paper, to a point.
    pub fn is_on(&self, paper: Paper) -> bool {
        let (width, height) = paper.size_pt();
        (self.size_pt.0 - width).abs() < 1.0 && (self.size_pt.1 - height).abs() < 1.0
    }
}

fn tool(name: &str, arguments: &[&str], file: &Path) -> String {
    let mut command = Command::new(name);
    command.args(arguments).arg(file);
    if name == "pdftotext" {
        command.arg("-");
    }
    let output = command.output().unwrap_or_else(|error| {
        panic!("{name} does not start ({error}); tests/run installs it (Debian: poppler-utils)")
    });
    assert!(output.status.success(), "{name}: {output:?}");
    String::from_utf8(output.stdout).expect("it writes UTF-8")
}
