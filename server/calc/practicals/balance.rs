//! How bright a practical stands against the key.

use crate::calculation::calculation;
use crate::fault::Warnings;

/// Reflectance of the grey card.
const CARD_REFLECTANCE: f64 = 0.18;
/// Stops over the card from which many sensors clip; common practice, no source.
const CLIPPING_STOPS: f64 = 6.0;

calculation! { "practicals";
    /// Light of a practical on the set against the key, in stops.
    balance(Balance {
        /// Illuminance by the practical.
        practical_lx: f64 = Above(0.0); usual 1200.0,
        /// Illuminance by the key.
        key_lx: f64 = Above(0.0); usual 4800.0,
    }) -> Balanced {
        /// Stops over the key; negative is under.
        stops_against_key: f64,
    }
    because "log₂({practical_lx} ÷ {key_lx}) = {stops_against_key} stops against the key"
    source "definition of the stop", Confirmed

    /// How bright a bare lamp looks against a grey card under the key, in stops.
    ///
    /// log₂(π L/(ρ E)). More than six stops clip on many sensors and bloom in haze (`lamp_clips`, common practice).
    lamp_luminance_stops(LampLuminanceStops {
        /// Luminance of the lamp.
        lamp_luminance_cdpm2: f64 = Above(0.0); usual 40_000.0,
        /// Illuminance by the key.
        key_lx: f64 = Above(0.0); usual 4800.0,
        /// Reflectance of the card.
        card_reflectance: f64 = AboveUpTo(0.0, 1.0); default CARD_REFLECTANCE,
    }) -> LampOverCard {
        /// Stops over the card.
        stops_over_card: f64,
    }
    because "log₂(π × {lamp_luminance_cdpm2} ÷ ({card_reflectance} × {key_lx})) = {stops_over_card} stops over the card"
    source "ratio of luminances", Confirmed

    /// Illuminance of an LED at a distance.
    ///
    /// A switched lamp may flicker: drive it with direct current, or look at its swing.
    led_illuminance(LedIlluminance {
        /// Intensity towards the place.
        intensity_cd: f64 = AtLeast(0.0); usual 5.0,
        /// Distance.
        distance_m: f64 = Above(0.0); usual 0.25,
        /// Angle of the light from straight on.
        incidence_deg: f64 = Between(0.0, 90.0); default 0.0,
    }) -> LedLight {
        /// Illuminance there.
        illuminance_lx: f64,
    }
    because "{intensity_cd} × cos({incidence_deg}°) ÷ {distance_m}^2 = {illuminance_lx} lx"
    source "inverse square and cosine law", Confirmed
}

fn balance(i: &Balance, _: &mut Warnings) -> Balanced {
    Balanced {
        stops_against_key: (i.practical_lx / i.key_lx).log2(),
    }
}

fn lamp_luminance_stops(i: &LampLuminanceStops, warnings: &mut Warnings) -> LampOverCard {
    let card_cdpm2 = i.card_reflectance * i.key_lx / std::f64::consts::PI;
    let stops_over_card = (i.lamp_luminance_cdpm2 / card_cdpm2).log2();
    warnings.add_if(stops_over_card > CLIPPING_STOPS, "lamp_clips");
    LampOverCard { stops_over_card }
}

fn led_illuminance(i: &LedIlluminance, _: &mut Warnings) -> LedLight {
    LedLight {
        illuminance_lx: i.intensity_cd * i.incidence_deg.to_radians().cos() / i.distance_m.powi(2),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;

    #[test]
    fn a_lamp_of_more_than_six_stops_over_the_card_clips() {
        let doubts = |stops: f64| {
            LampLuminanceStops {
                lamp_luminance_cdpm2: 0.18 * 4800.0 / std::f64::consts::PI * stops.exp2(),
                key_lx: 4800.0,
                card_reflectance: CARD_REFLECTANCE,
            }
            .work()
            .expect("in range")
            .warnings
        };
        assert!(doubts(5.99).is_empty());
        assert_eq!(doubts(6.01), ["lamp_clips"]);
    }
}
