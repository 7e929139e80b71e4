//! What a camera balanced to a white would show of a light on a screen.

use super::lamp::Lamp;
use super::light::{bare_and_gelled, seen};
use super::observer::{Chromaticity, Xyz, tristimulus};
use super::screen::{D65_WHITE, adapted, encoded, lab_of, linear_srgb};
use super::sheet::{Filter, Sheet};
use super::temperature::{colour_at, real_colour};
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::carried;
use crate::input::{Kind, Range, Typed, part};
use serde_json::Value;

/// Less leaning than this is no colour; common practice, no source.
const NEUTRAL_BELOW: f64 = 6.0;
/// Where each hue ends on the circle of a*, b*, in degrees; common practice, no source.
const HUES: [(f64, &str); 9] = [
    (20.0, "pink"),
    (55.0, "red"),
    (80.0, "orange"),
    (115.0, "yellow"),
    (165.0, "green"),
    (225.0, "cyan"),
    (312.0, "blue"),
    (340.0, "magenta"),
    (360.0, "pink"),
];

part! {
    /// A white by its place on the diagram, or by its colour temperature and distance from the line.
    WhitePoint {
        /// x of the white.
        x: Option<f64> = Within(0.0, 1.0),
        /// y of the white.
        y: Option<f64> = Within(0.0, 1.0),
        /// Colour temperature of the white.
        cct_k: Option<f64> = Between(1000.0, 100_000.0),
        /// Its distance from the line of glowing bodies: greenish is positive.
        duv: f64 = Between(-0.05, 0.05); default 0.0,
    }
}

/// What a camera is balanced to.
#[derive(Clone, Debug, PartialEq)]
pub enum White {
    /// A lamp.
    Lamp(Lamp),
    /// A place on the diagram.
    Colour(Chromaticity),
    /// A colour temperature, K, and a distance from the line of glowing bodies.
    Temperature(f64, f64),
}

impl White {
    /// The white at Y = 1.
    ///
    /// # Errors
    /// A lamp that is none, or a colour that no light has, under the name of the input.
    pub fn light(&self, field: &str, warnings: &mut Warnings) -> Result<Xyz, Fault> {
        let colour = match self {
            Self::Lamp(lamp) => seen(field, tristimulus(&lamp.spectrum(field, warnings)?))?,
            Self::Colour(colour) => real_colour(field, colour.x, colour.y)?,
            Self::Temperature(cct_k, duv) => colour_at(*cct_k, *duv),
        };
        Ok(colour.at_luminance(1.0))
    }

    fn point(&self) -> Option<WhitePoint> {
        let none = WhitePoint {
            x: None,
            y: None,
            cct_k: None,
            duv: 0.0,
        };
        match self {
            Self::Lamp(_) => None,
            Self::Colour(colour) => Some(WhitePoint {
                x: Some(colour.x),
                y: Some(colour.y),
                ..none
            }),
            Self::Temperature(cct_k, duv) => Some(WhitePoint {
                cct_k: Some(*cct_k),
                duv: *duv,
                ..none
            }),
        }
    }
}

impl Typed for White {
    const KIND: Kind = Kind::OneOf(&[Lamp::KIND, WhitePoint::KIND]);

    fn read(given: Option<&Value>) -> Result<Self, (FaultKind, String)> {
        let is_point = |of: &Value| {
            ["x", "y", "cct_k", "duv"]
                .iter()
                .any(|name| of.get(name).is_some())
        };
        if !given.is_some_and(is_point) {
            return Lamp::read(given).map(Self::Lamp);
        }
        match WhitePoint::read(given)? {
            WhitePoint {
                x: Some(x),
                y: Some(y),
                cct_k: None,
                ..
            } => Ok(Self::Colour(Chromaticity { x, y })),
            WhitePoint {
                x: None,
                y: None,
                cct_k: Some(cct_k),
                duv,
            } => Ok(Self::Temperature(cct_k, duv)),
            _ => Err((
                FaultKind::Missing,
                "needs either x and y, or cct_k with its duv".to_owned(),
            )),
        }
    }

    fn breach(&self, range: &Range) -> Option<(FaultKind, String)> {
        match self {
            Self::Lamp(lamp) => lamp.breach(range),
            _ => self.point()?.breach(range),
        }
    }

    fn write(&self) -> Value {
        match self {
            Self::Lamp(lamp) => lamp.write(),
            _ => self.point().map_or(Value::Null, |point| point.write()),
        }
    }

    fn shown(&self) -> String {
        match self {
            Self::Lamp(lamp) => lamp.words(),
            Self::Colour(colour) => format!("x {} y {}", carried(colour.x), carried(colour.y)),
            Self::Temperature(cct_k, duv) => {
                format!("{} K, Duv {}", carried(*cct_k), carried(*duv))
            }
        }
    }
}

calculation! { "colour";
    /// A lamp behind gels as a swatch: what a colour-neutral camera balanced to a white would show on a screen.
    ///
    /// Never a promise: print the numbers and a word beside it. A colour the screen cannot show is mixed towards its grey
    /// and told (`out_of_gamut`); one too bright is dimmed and told (`too_bright`).
    swatch(Swatch {
        /// The lamp: a name, or a table of wavelengths and powers.
        lamp: Option<Lamp> = Any; usual Lamp::Planck(5600.0),
        /// The spectrum itself, when there is no lamp by name.
        spd: Option<Lamp> = Any,
        /// The sheets; none is the bare lamp.
        gels: Vec<Sheet> = Any; default Vec::new(); usual vec![Sheet::from(Filter::ideal_shift(65.5))],
        /// What the camera is balanced to: a lamp, x and y, or a colour temperature and Duv.
        white_balance: White = Any; default White::Lamp(Lamp::Named(super::StandardDaylight::D65)),
        /// Brightness to show it at, as a share of white; what the gels let through when it is not given.
        show_at_relative_luminance: Option<f64> = AboveUpTo(0.0, 100.0); usual 0.5,
    }) -> SwatchFound {
        /// Light of the red channel.
        red_linear: f64,
        /// Light of the green channel.
        green_linear: f64,
        /// Light of the blue channel.
        blue_linear: f64,
        /// Code of the red channel.
        red_8bit: u32,
        /// Code of the green channel.
        green_8bit: u32,
        /// Code of the blue channel.
        blue_8bit: u32,
        /// Whether the screen can show the colour itself.
        in_gamut: bool,
        /// Whether it had to be dimmed.
        too_bright: bool,
        /// The colour in a word.
        word: &'static str,
    }
    because swatch_because
    source "Bradford adaptation; IEC 61966-2-1; mixing into the gamut is this workbook's own", Confirmed
}

/// A light on a screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OnScreen {
    /// Light of the three channels, each from 0 to 1.
    pub linear: [f64; 3],
    /// Codes of the three channels.
    pub codes: [u8; 3],
    /// Whether the screen can show the colour itself.
    pub in_gamut: bool,
    /// Whether it had to be dimmed.
    pub too_bright: bool,
    /// The colour in a word.
    pub word: &'static str,
}

/// A light, with the camera's white at Y = 1 as it is, on a screen.
pub fn on_screen(light: Xyz, white: Xyz) -> OnScreen {
    let shown = adapted(light, white.column(), D65_WHITE);
    let mut linear = linear_srgb(shown);
    let least = linear.iter().copied().fold(f64::INFINITY, f64::min);
    // the matrices are printed to four digits: what they are short of the screen's own corners is no colour
    let in_gamut = least >= -1e-3 * shown.y.abs();
    if least < 0.0 {
        let share = shown.y / (shown.y - least);
        linear = linear.map(|channel| (shown.y + share * (channel - shown.y)).max(0.0));
    }
    let most = linear.iter().copied().fold(0.0, f64::max);
    let too_bright = most > 1.0;
    if too_bright {
        linear = linear.map(|channel| channel / most);
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "rounded, from 0 to 255"
    )]
    let codes = linear.map(|channel| (255.0 * encoded(channel)).round().clamp(0.0, 255.0) as u8);
    OnScreen {
        linear,
        codes,
        in_gamut,
        too_bright,
        word: word_of(shown),
    }
}

/// The colour of a light against the screen's white, in a word.
fn word_of(shown: Xyz) -> &'static str {
    let [_, a, b] = lab_of(shown.scaled(0.5 / shown.y), D65_WHITE);
    if a.hypot(b) < NEUTRAL_BELOW {
        return "neutral";
    }
    let hue_deg = b.atan2(a).to_degrees().rem_euclid(360.0);
    HUES.iter()
        .find(|(end, _)| hue_deg < *end)
        .map_or("pink", |(_, word)| word)
}

fn shown(i: &Swatch, warnings: &mut Warnings) -> Result<OnScreen, Fault> {
    let lamp = match (&i.lamp, &i.spd) {
        (Some(lamp), None) | (None, Some(lamp)) => lamp,
        (None, None) => {
            let problem = "A lamp is needed, or a spectrum.";
            return Err(Fault::new("lamp", FaultKind::Missing, problem));
        }
        (Some(_), Some(_)) => {
            let problem = "Give a lamp or a spectrum, not both.";
            return Err(Fault::new("spd", FaultKind::OutOfRange, problem));
        }
    };
    let (bare, gelled) = bare_and_gelled(lamp, &i.gels, warnings)?;
    seen("lamp", bare)?;
    seen("gels", gelled)?;
    let white = i.white_balance.light("white_balance", warnings)?;
    let luminance = i.show_at_relative_luminance.unwrap_or(gelled.y / bare.y);
    let screen = on_screen(gelled.scaled(luminance / gelled.y), white);
    warnings.add_if(!screen.in_gamut, "out_of_gamut");
    warnings.add_if(screen.too_bright, "too_bright");
    Ok(screen)
}

fn swatch(i: &Swatch, warnings: &mut Warnings) -> Result<SwatchFound, Fault> {
    let OnScreen {
        linear: [red_linear, green_linear, blue_linear],
        codes,
        in_gamut,
        too_bright,
        word,
    } = shown(i, warnings)?;
    let [red_8bit, green_8bit, blue_8bit] = codes.map(u32::from);
    Ok(SwatchFound {
        red_linear,
        green_linear,
        blue_linear,
        red_8bit,
        green_8bit,
        blue_8bit,
        in_gamut,
        too_bright,
        word,
    })
}

fn swatch_because(_: &Swatch, a: &SwatchFound) -> String {
    format!(
        "255 × {} = {} for red; green is {}, blue {}: {}",
        carried(encoded(a.red_linear)),
        a.red_8bit,
        a.green_8bit,
        a.blue_8bit,
        a.word
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn swatch_of(spd: Lamp, white_balance: White, luminance: Option<f64>) -> Swatch {
        Swatch {
            lamp: None,
            spd: Some(spd),
            gels: Vec::new(),
            white_balance,
            show_at_relative_luminance: luminance,
        }
    }

    #[test]
    fn a_spectral_green_is_mixed_into_the_screen_and_told() {
        let line = swatch_of(
            Lamp::Monochromatic(520.0),
            White::Lamp(Lamp::Planck(5600.0)),
            Some(0.3),
        );
        let found = line.work().expect("in range");
        assert!(!found.in_gamut && found.warnings == ["out_of_gamut"]);
        assert_eq!((found.red_8bit, found.word), (0, "green"));
        assert!(found.green_linear <= 1.0);
    }

    #[test]
    fn too_bright_is_dimmed_and_told() {
        let white = White::Lamp(Lamp::Planck(3200.0));
        let found = swatch_of(Lamp::Planck(3200.0), white, Some(4.0))
            .work()
            .expect("in range");
        assert!(found.too_bright && found.warnings == ["too_bright"]);
        assert_eq!(found.word, "neutral");
    }

    #[test]
    fn a_lamp_or_a_spectrum_is_needed_and_not_both() {
        let mut asked = swatch_of(Lamp::A, White::Lamp(Lamp::A), None);
        asked.lamp = Some(Lamp::A);
        assert_eq!(asked.work().expect_err("refused")[0].field, "spd");
        (asked.lamp, asked.spd) = (None, None);
        assert_eq!(
            asked.work().expect_err("refused")[0].kind,
            FaultKind::Missing
        );
    }

    #[test]
    fn whites_are_read_in_three_ways_and_written_back() {
        for text in [
            r#""planck_3200""#,
            r#"{"x": 0.31, "y": 0.33}"#,
            r#"{"cct_k": 4300, "duv": 0.002}"#,
        ] {
            let value: Value = serde_json::from_str(text).expect("JSON");
            let white = White::read(Some(&value)).expect(text);
            assert_eq!(White::read(Some(&white.write())), Ok(white));
        }
        for text in [r#"{"x": 0.31}"#, r#"{"x": 0.31, "y": 0.33, "cct_k": 4300}"#] {
            let value: Value = serde_json::from_str(text).expect("JSON");
            assert_eq!(
                White::read(Some(&value)).map_err(|fault| fault.0),
                Err(FaultKind::Missing)
            );
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn a_white_is_grey_to_a_camera_balanced_to_it(kelvin in 2000.0..12_000.0_f64, luminance in 0.05..0.95_f64) {
            let white = White::Lamp(Lamp::Planck(kelvin));
            let found = swatch_of(Lamp::Planck(kelvin), white, Some(luminance)).work().expect("in range");
            prop_assert!((found.red_linear - luminance).abs() < 1e-3 && (found.blue_linear - luminance).abs() < 1e-3);
            prop_assert!(found.in_gamut && found.word == "neutral");
        }

        #[test]
        fn every_light_has_a_swatch(nm in 380.0..780.0_f64, kelvin in 1500.0..20_000.0_f64) {
            let found = swatch_of(Lamp::Monochromatic(nm), White::Temperature(kelvin, 0.0), Some(0.5)).work();
            let found = found.expect("in range");
            prop_assert!([found.red_linear, found.green_linear, found.blue_linear].iter().all(|c| (0.0..=1.0).contains(c)));
        }
    }
}
