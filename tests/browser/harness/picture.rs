//! What a window shows, measured.

use image::{ImageFormat, RgbImage};

/// A screenshot.
pub struct Picture(RgbImage);

impl Picture {
    /// From the browser's PNG.
    pub fn read(png: &[u8]) -> Self {
        let picture = image::load_from_memory_with_format(png, ImageFormat::Png);
        Self(picture.expect("a picture").to_rgb8())
    }

    /// Width and height, px.
    pub fn size(&self) -> (u32, u32) {
        self.0.dimensions()
    }

    /// Mean relative luminance, from 0 for black to 1 for white (WCAG 2.2, "relative luminance"; sRGB, IEC 61966-2-1).
    pub fn mean_luminance(&self) -> f64 {
        let sum: f64 = self.0.pixels().map(|pixel| luminance(pixel.0)).sum();
        sum / (f64::from(self.0.width()) * f64::from(self.0.height()))
    }
}

fn luminance([red, green, blue]: [u8; 3]) -> f64 {
    0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue)
}

fn linear(channel: u8) -> f64 {
    let c = f64::from(channel) / 255.0;
    if c <= 0.04045 {
        c / 12.92
    } else {
        ((c + 0.055) / 1.055).powf(2.4)
    }
}

#[test]
fn luminance_of_known_colours() {
    // Half of sRGB's range is 21.4 % of its light; the three primaries add up to white.
    assert!((luminance([128, 128, 128]) - 0.2159).abs() < 1e-4);
    assert!((luminance([255, 255, 255]) - 1.0).abs() < 1e-9);
    assert!((luminance([255, 0, 0]) - 0.2126).abs() < 1e-9);
    let half = RgbImage::from_fn(2, 1, |x, _| image::Rgb([if x == 0 { 0 } else { 255 }; 3]));
    assert!((Picture(half).mean_luminance() - 0.5).abs() < 1e-9);
}
