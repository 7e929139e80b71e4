//! How much a lamp veils the view, by where it stands: behind the haze, beside it, or on the camera's side.

use super::THICK;
use super::glow::{SINGLE_SCATTERING, phase_per_sr};
use crate::calculation::calculation;
use crate::fault::Warnings;
use crate::figure::{carried, found, given};
use std::f64::consts::PI;

/// Reflectance of the grey card.
const CARD_REFLECTANCE: f64 = 0.18;

calculation! { "haze-optics";
    /// Veil of haze in front of a grey card, for the same lamp behind, beside and in front.
    ///
    /// Derivation: a slice ds of haze at s from the camera, in light of illuminance E square to the beam, sends
    /// ω σ E p(θ) ds towards the camera, and e^(−σs) of that arrives. Summed over the way x to the card the veil has the
    /// luminance ω E p(θ)(1 − e^(−σx)). The card in the key's light K shows ρ K/π, of which e^(−σx) arrives. The stops are the veil over
    /// the card as it is seen: at 0 stops the haze is as bright as the card, and half its contrast is gone. Angles are
    /// those of the light's turn: 0° is a lamp that shines into the lens. The light is taken as even along the way, and
    /// to scatter once (`multiple_scattering`, `optically_thick` where it does not). The phase function reads half a stop
    /// too bright at 90° and a stop too dark beyond 140°. Optical matching never overrides an exposure limit of the air.
    lamp_angle(LampAngle {
        /// Extinction of the haze.
        extinction_per_m: f64 = AtLeast(0.0); usual 0.2,
        /// Distance of the card from the camera, all in haze.
        distance_m: f64 = Above(0.0); usual 3.0,
        /// Illuminance of the lamp on the haze, square to its beam.
        lamp_lx: f64 = Above(0.0); usual 2000.0,
        /// Illuminance of the key on the card.
        key_lx: f64 = Above(0.0); usual 2000.0,
        /// Mean cosine of the scattered light; 0.70 to 0.75 for haze.
        asymmetry: f64 = Within(-1.0, 1.0); default 0.73,
        /// Share of the extinction that scatters; fog and oil hardly absorb.
        albedo: f64 = AboveUpTo(0.0, 1.0); default 1.0,
        /// Angle of a lamp behind the haze.
        behind_deg: f64 = Between(0.0, 180.0); default 30.0,
        /// Angle of a lamp beside it.
        beside_deg: f64 = Between(0.0, 180.0); default 90.0,
        /// Angle of a lamp on the camera's side.
        in_front_deg: f64 = Between(0.0, 180.0); default 150.0,
        /// Reflectance of the card.
        card_reflectance: f64 = AboveUpTo(0.0, 1.0); default CARD_REFLECTANCE,
    }) -> Veils {
        /// Luminance of the veil, lamp behind.
        veil_behind_cdpm2: f64,
        /// Luminance of the veil, lamp beside.
        veil_beside_cdpm2: f64,
        /// Luminance of the veil, lamp in front.
        veil_in_front_cdpm2: f64,
        /// Luminance of the card as it is seen.
        card_cdpm2: f64,
        /// Veil over card, lamp behind; nothing in clear air.
        behind_stops: Option<f64>,
        /// Veil over card, lamp beside.
        beside_stops: Option<f64>,
        /// Veil over card, lamp in front.
        in_front_stops: Option<f64>,
    }
    because lamp_angle_because
    source "derived here from single scattering with the Henyey and Greenstein phase function (1941), agreed by a sum of slices", Confirmed
}

fn lamp_angle(i: &LampAngle, warnings: &mut Warnings) -> Veils {
    let optical_depth = i.extinction_per_m * i.distance_m;
    warnings.add_if(
        optical_depth * (1.0 - i.asymmetry) > SINGLE_SCATTERING,
        "multiple_scattering",
    );
    warnings.add_if(optical_depth > THICK, "optically_thick");
    let caught = -(-optical_depth).exp_m1();
    let veil = |angle_deg| i.albedo * i.lamp_lx * phase_per_sr(i.asymmetry, angle_deg) * caught;
    let card_cdpm2 = i.card_reflectance * i.key_lx / PI * (-optical_depth).exp();
    let stops = |veil_cdpm2: f64| {
        let ratio = veil_cdpm2 / card_cdpm2;
        (ratio > 0.0).then(|| ratio.log2())
    };
    let veils = [i.behind_deg, i.beside_deg, i.in_front_deg].map(veil);
    let [behind_stops, beside_stops, in_front_stops] = veils.map(stops);
    Veils {
        veil_behind_cdpm2: veils[0],
        veil_beside_cdpm2: veils[1],
        veil_in_front_cdpm2: veils[2],
        card_cdpm2,
        behind_stops,
        beside_stops,
        in_front_stops,
    }
}

fn lamp_angle_because(i: &LampAngle, a: &Veils) -> String {
    let stops = |stops: Option<f64>| stops.map_or_else(|| "no".to_owned(), found);
    format!(
        "{} × {} × {} × (1 − e^(−{} × {})) = {} cd/m² of veil with the lamp behind, the third number its share for each steradian. Against the card that is {} stops; {} with the lamp beside and {} with it in front.",
        given(i.albedo),
        given(i.lamp_lx),
        carried(phase_per_sr(i.asymmetry, i.behind_deg)),
        carried(i.extinction_per_m),
        carried(i.distance_m),
        found(a.veil_behind_cdpm2),
        stops(a.behind_stops),
        stops(a.beside_stops),
        stops(a.in_front_stops)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn veils(extinction_per_m: f64, asymmetry: f64) -> crate::Worked<Veils> {
        LampAngle {
            extinction_per_m,
            distance_m: 3.0,
            lamp_lx: 2000.0,
            key_lx: 2000.0,
            asymmetry,
            albedo: 1.0,
            behind_deg: 30.0,
            beside_deg: 90.0,
            in_front_deg: 150.0,
            card_reflectance: CARD_REFLECTANCE,
        }
        .work()
        .expect("in range")
    }

    #[test]
    fn clear_air_has_no_veil_and_thick_haze_is_told() {
        let clear = veils(0.0, 0.73);
        assert!(clear.veil_behind_cdpm2 == 0.0 && clear.behind_stops.is_none());
        assert!(clear.warnings.is_empty());
        assert_eq!(
            veils(1.5, 0.73).warnings,
            ["multiple_scattering", "optically_thick"]
        );
    }

    proptest! {
        #[test]
        fn haze_veils_most_from_behind_and_more_when_thicker(extinction in 0.01..1.0, more in 1.01..3.0, asymmetry in 0.1..0.9) {
            let veil = veils(extinction, asymmetry);
            prop_assert!(veil.veil_behind_cdpm2 > veil.veil_beside_cdpm2);
            prop_assert!(veil.veil_beside_cdpm2 > veil.veil_in_front_cdpm2);
            prop_assert!(veils(extinction * more, asymmetry).behind_stops > veil.behind_stops);
        }
    }
}
