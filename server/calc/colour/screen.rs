//! From what the observer sees to a screen and to a difference: adaptation, sRGB, L*a*b*.

use super::observer::Xyz;
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found};

/// White of screens (CIE D65 as the screen standard has it).
pub const D65_WHITE: [f64; 3] = [0.950_47, 1.0, 1.088_83];
/// From tristimulus values to the sharpened responses of the eye, after Bradford.
const BRADFORD: [[f64; 3]; 3] = [
    [0.8951, 0.2664, -0.1614],
    [-0.7502, 1.7135, 0.0367],
    [0.0389, -0.0685, 1.0296],
];
/// From tristimulus values to the red, green and blue of a screen (IEC 61966-2-1).
const TO_SRGB: [[f64; 3]; 3] = [
    [3.2406, -1.5372, -0.4986],
    [-0.9689, 1.8758, 0.0415],
    [0.0557, -0.2040, 1.0570],
];
/// Where L*a*b* turns from a cube root into a line: (6/29)³ and its slope.
const LAB_LINEAR_BELOW: f64 = 216.0 / 24_389.0;
const LAB_SLOPE: f64 = 24_389.0 / 27.0;
/// Where the screen's curve turns from a line into a power.
const SRGB_LINEAR_UP_TO: f64 = 0.003_130_8;

calculation! { "colour";
    /// One channel of a screen, from its light to its code.
    srgb_encode(SrgbEncode {
        /// Light of the channel: 1 is its most.
        linear: f64 = Between(0.0, 1.0); usual 0.18,
    }) -> Encoded {
        /// Code of the channel: 1 is 255.
        encoded: f64,
    }
    because srgb_encode_because
    source "IEC 61966-2-1", Confirmed

    /// Red, green and blue of a screen, from tristimulus values.
    ///
    /// Below zero or above one the screen cannot show it.
    xyz_to_linear_srgb(XyzToLinearSrgb {
        /// X, with the screen's white at Y = 1.
        x_tristimulus: f64 = Any; usual 0.4,
        /// Y.
        y_tristimulus: f64 = Any; usual 0.4,
        /// Z.
        z_tristimulus: f64 = Any; usual 0.3,
    }) -> LinearSrgb {
        /// Light of the red channel.
        red_linear: f64,
        /// Light of the green channel.
        green_linear: f64,
        /// Light of the blue channel.
        blue_linear: f64,
    }
    because "3.2406 × {x_tristimulus} − 1.5372 × {y_tristimulus} − 0.4986 × {z_tristimulus} = {red_linear} for red; green is {green_linear}, blue {blue_linear}"
    source "IEC 61966-2-1", Confirmed

    /// A colour as it looks when the white of the scene becomes another.
    bradford(Bradford {
        /// X.
        x_tristimulus: f64 = Any; usual 0.5,
        /// Y.
        y_tristimulus: f64 = Any; usual 0.4,
        /// Z.
        z_tristimulus: f64 = Any; usual 0.1,
        /// X, Y, Z of the white there is.
        from_white_xyz: [f64; 3] = Above(0.0); usual [1.0985, 1.0, 0.355_85],
        /// X, Y, Z of the white it becomes.
        to_white_xyz: [f64; 3] = Above(0.0); default D65_WHITE,
    }) -> Adapted {
        /// X.
        x_tristimulus: f64,
        /// Y.
        y_tristimulus: f64,
        /// Z.
        z_tristimulus: f64,
    }
    because bradford_because
    source "Bradford transform, as in ICC.1 and CIE 159", Confirmed

    /// A colour by lightness and its two leanings, for judging differences.
    lab(LabOf {
        /// X.
        x_tristimulus: f64 = Any; usual 0.4,
        /// Y.
        y_tristimulus: f64 = Any; usual 0.4,
        /// Z.
        z_tristimulus: f64 = Any; usual 0.3,
        /// X, Y, Z of the white.
        white_xyz: [f64; 3] = Above(0.0); default D65_WHITE,
    }) -> LabFound {
        /// L*: 100 is the white.
        lightness: f64,
        /// a*: red is positive, green negative.
        lab_a: f64,
        /// b*: yellow is positive, blue negative.
        lab_b: f64,
    }
    because lab_because
    source "ISO/CIE 11664-4", Confirmed
}

/// A matrix times a column.
fn times(matrix: &[[f64; 3]; 3], [x, y, z]: [f64; 3]) -> [f64; 3] {
    matrix.map(|[a, b, c]| a * x + b * y + c * z)
}

/// The inverse of a matrix, by its cofactors.
fn inverse([a, b, c]: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    let cross = |p: &[f64; 3], q: &[f64; 3]| {
        [
            p[1] * q[2] - p[2] * q[1],
            p[2] * q[0] - p[0] * q[2],
            p[0] * q[1] - p[1] * q[0],
        ]
    };
    let (first, second, third) = (cross(b, c), cross(c, a), cross(a, b));
    let determinant = a[0] * first[0] + a[1] * first[1] + a[2] * first[2];
    [0, 1, 2].map(|row| [first[row], second[row], third[row]].map(|value| value / determinant))
}

/// A light as it looks when one white becomes another.
pub fn adapted(light: Xyz, from_white: [f64; 3], to_white: [f64; 3]) -> Xyz {
    let (from, to) = (times(&BRADFORD, from_white), times(&BRADFORD, to_white));
    let mut response = times(&BRADFORD, light.column());
    for (value, (from, to)) in response.iter_mut().zip(from.iter().zip(to)) {
        *value *= to / from;
    }
    let [x, y, z] = times(&inverse(&BRADFORD), response);
    Xyz { x, y, z }
}

/// Light of the three channels of a screen.
pub fn linear_srgb(light: Xyz) -> [f64; 3] {
    times(&TO_SRGB, light.column())
}

/// Code of a channel from its light, both up to 1.
pub fn encoded(linear: f64) -> f64 {
    if linear <= SRGB_LINEAR_UP_TO {
        12.92 * linear
    } else {
        1.055 * linear.powf(1.0 / 2.4) - 0.055
    }
}

/// L*, a*, b* against a white.
pub fn lab_of(light: Xyz, white: [f64; 3]) -> [f64; 3] {
    let [x, y, z] = lab_roots(light, white);
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

fn lab_roots(light: Xyz, white: [f64; 3]) -> [f64; 3] {
    let [x, y, z] = light.column();
    [x / white[0], y / white[1], z / white[2]].map(|share| {
        if share > LAB_LINEAR_BELOW {
            share.cbrt()
        } else {
            (LAB_SLOPE * share + 16.0) / 116.0
        }
    })
}

fn srgb_encode(i: &SrgbEncode, _: &mut Warnings) -> Encoded {
    Encoded {
        encoded: encoded(i.linear),
    }
}

fn srgb_encode_because(i: &SrgbEncode, a: &Encoded) -> String {
    let linear = carried(i.linear);
    let sum = if i.linear <= SRGB_LINEAR_UP_TO {
        format!("12.92 × {linear}")
    } else {
        format!("1.055 × {linear} ^ (1 ÷ 2.4) − 0.055")
    };
    format!(
        "{sum} = {}, {:.0} of 255",
        found(a.encoded),
        255.0 * a.encoded
    )
}

fn xyz_to_linear_srgb(i: &XyzToLinearSrgb, _: &mut Warnings) -> LinearSrgb {
    let [red_linear, green_linear, blue_linear] = linear_srgb(Xyz {
        x: i.x_tristimulus,
        y: i.y_tristimulus,
        z: i.z_tristimulus,
    });
    LinearSrgb {
        red_linear,
        green_linear,
        blue_linear,
    }
}

/// Refuses a white that the eye's responses make nothing of.
fn needs_white(field: &str, white: [f64; 3]) -> Result<(), Fault> {
    if times(&BRADFORD, white)
        .iter()
        .all(|response| *response > 0.0)
    {
        return Ok(());
    }
    let problem = "This is no white: one of the eye's three responses to it is not positive.";
    Err(Fault::new(field, FaultKind::OutOfRange, problem))
}

fn bradford(i: &Bradford, _: &mut Warnings) -> Result<Adapted, Vec<Fault>> {
    let faults: Vec<Fault> = [
        needs_white("from_white_xyz", i.from_white_xyz),
        needs_white("to_white_xyz", i.to_white_xyz),
    ]
    .into_iter()
    .filter_map(Result::err)
    .collect();
    if !faults.is_empty() {
        return Err(faults);
    }
    let Xyz { x, y, z } = adapted(typed(i), i.from_white_xyz, i.to_white_xyz);
    Ok(Adapted {
        x_tristimulus: x,
        y_tristimulus: y,
        z_tristimulus: z,
    })
}

fn typed(i: &Bradford) -> Xyz {
    Xyz {
        x: i.x_tristimulus,
        y: i.y_tristimulus,
        z: i.z_tristimulus,
    }
}

fn bradford_because(i: &Bradford, a: &Adapted) -> String {
    let (from, to) = (
        times(&BRADFORD, i.from_white_xyz),
        times(&BRADFORD, i.to_white_xyz),
    );
    let response = times(&BRADFORD, typed(i).column());
    let back = inverse(&BRADFORD)[1];
    let terms: Vec<String> = (0..3)
        .map(|at| {
            format!(
                "{} × {} × {} ÷ {}",
                carried(back[at]),
                carried(response[at]),
                carried(to[at]),
                carried(from[at])
            )
        })
        .collect();
    format!(
        "{} = {} for Y, from the eye's three responses against both whites",
        terms.join(" + "),
        found(a.y_tristimulus)
    )
}

fn lab(i: &LabOf, _: &mut Warnings) -> LabFound {
    let [lightness, lab_a, lab_b] = lab_of(lab_light(i), i.white_xyz);
    LabFound {
        lightness,
        lab_a,
        lab_b,
    }
}

fn lab_light(i: &LabOf) -> Xyz {
    Xyz {
        x: i.x_tristimulus,
        y: i.y_tristimulus,
        z: i.z_tristimulus,
    }
}

fn lab_because(i: &LabOf, a: &LabFound) -> String {
    let [_, y, _] = lab_roots(lab_light(i), i.white_xyz);
    format!(
        "116 × {} − 16 = {} for L*; a* is {}, b* is {}",
        carried(y),
        found(a.lightness),
        found(a.lab_a),
        found(a.lab_b)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    #[test]
    fn the_inverse_undoes_the_matrix() {
        let back = inverse(&BRADFORD);
        for (at, row) in [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
            .iter()
            .enumerate()
        {
            let there = times(&back, times(&BRADFORD, *row));
            assert!(
                there.iter().zip(row).all(|(a, b)| (a - b).abs() < 1e-12),
                "{at}"
            );
        }
    }

    #[test]
    fn a_white_that_is_none_is_refused() {
        let asked = Bradford {
            x_tristimulus: 0.5,
            y_tristimulus: 0.4,
            z_tristimulus: 0.1,
            from_white_xyz: [1.0, 0.1, 0.1],
            to_white_xyz: D65_WHITE,
        };
        assert_eq!(
            asked.work().expect_err("refused")[0].field,
            "from_white_xyz"
        );
    }

    #[test]
    fn the_two_ends_of_the_screen_curve_meet() {
        let below = encoded(SRGB_LINEAR_UP_TO);
        assert!((encoded(SRGB_LINEAR_UP_TO + 1e-9) - below).abs() < 1e-6);
        assert!((encoded(1.0) - 1.0).abs() < 1e-12 && encoded(0.0).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn there_and_back_is_the_same_light(x in 0.01..1.0_f64, y in 0.01..1.0_f64, z in 0.01..1.0_f64) {
            let white = [1.0985, 1.0, 0.355_85];
            let light = Xyz { x, y, z };
            let back = adapted(adapted(light, white, D65_WHITE), D65_WHITE, white);
            prop_assert!((back.x - x).abs() + (back.y - y).abs() + (back.z - z).abs() < 1e-9);
        }

        #[test]
        fn brighter_is_lighter(y in 0.0001..0.9_f64, more in 1.001..1.1_f64) {
            let lightness = |y: f64| lab_of(Xyz { x: y, y, z: y }, D65_WHITE)[0];
            prop_assert!(lightness(y * more) > lightness(y));
        }
    }
}
