//! How the air itself moves: layers, plumes over lamps, and currents that take their time to die.

use super::GRAVITY_MPS2;
use crate::calculation::calculation;
use crate::fault::Warnings;
use crate::scale_time::note_scale;

/// Heat of air, kJ/(kg K).
const AIR_HEAT_KJPKGK: f64 = 1.006;
/// Density of air at 20 °C, kg/m³.
const AIR_DENSITY_KGPM3: f64 = 1.204;
/// Air in a room, K.
const ROOM_K: f64 = 293.0;

calculation! { "haze-fill";
    /// Whether a layer of haze holds: weight of the layer against the wind that stirs it.
    ///
    /// Above 1 a layer tends to survive, under 0.25 expect it to mix. A rough figure only.
    richardson(Richardson {
        /// How much warmer the air above is.
        temperature_rise_k: f64 = Any; usual 3.0,
        /// Height of the layer.
        layer_height_m: f64 = Above(0.0); usual 2.0,
        /// Speed of the air.
        speed_mps: f64 = Above(0.0); usual 0.2,
        /// Temperature of the air.
        mean_temperature_k: f64 = Above(0.0); default ROOM_K,
    }) -> RichardsonFound {
        /// Weight over wind.
        richardson: f64,
    }
    because "9.81 × {temperature_rise_k} × {layer_height_m} ÷ ({mean_temperature_k} × {speed_mps}^2) = {richardson}. Over 1 a layer tends to hold, under 0.25 it mixes."
    source "bulk Richardson number", FromMemory

    /// How fast warm air rises over a lamp: one bare tungsten head stirs a stage.
    plume(Plume {
        /// Heat that the lamp gives to the air.
        convective_power_kw: f64 = AtLeast(0.0); usual 0.5,
        /// Height over the lamp.
        height_m: f64 = Above(0.0); usual 2.0,
    }) -> PlumeFound {
        /// Speed in the middle of the plume.
        centreline_speed_mps: f64,
    }
    because "3.4 × (9.81 ÷ (1.006 × 1.204 × 293) × {convective_power_kw} ÷ {height_m})^(1 ÷ 3) = {centreline_speed_mps} m/s"
    source "Heskestad plume relation (NFPA 92, SFPE Handbook)", FromMemory

    /// How a drift on the stage plays in the story.
    story_drift(StoryDrift {
        /// Speed of the haze on the stage.
        stage_drift_mps: f64 = Any; usual 0.05,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Shooting rate over base rate.
        frame_rate_ratio: f64 = Above(0.0); usual 4.9,
    }) -> StoryDriftFound {
        /// Speed as it plays.
        story_speed_mps: f64,
    }
    because "{stage_drift_mps} × {scale_denominator} ÷ {frame_rate_ratio} = {story_speed_mps} m/s in the story"
    source "similarity of lengths and times", Confirmed

    /// Time for currents to die after doors, fans and people have stopped. Order of magnitude only.
    ///
    /// Rooms with warm lamps never stop: wait 5 to 15 minutes, look, and time a wisp.
    quieting(Quieting {
        /// Size of the room.
        room_size_m: f64 = Above(0.0); usual 5.0,
        /// Speed that is slow enough.
        target_speed_mps: f64 = Above(0.0); usual 0.02,
        /// Turns of the room that it takes.
        constant: f64 = Above(0.0); default 1.0,
    }) -> QuietingFound {
        /// Time to wait.
        time_s: f64,
    }
    because "{constant} × {room_size_m} ÷ {target_speed_mps} = {time_s} s, to an order of magnitude"
    source "turnover time of a room", CommonPractice
}

fn richardson(i: &Richardson, _: &mut Warnings) -> RichardsonFound {
    RichardsonFound {
        richardson: GRAVITY_MPS2 * i.temperature_rise_k * i.layer_height_m
            / (i.mean_temperature_k * i.speed_mps.powi(2)),
    }
}

fn plume(i: &Plume, _: &mut Warnings) -> PlumeFound {
    let buoyancy = GRAVITY_MPS2 / (AIR_HEAT_KJPKGK * AIR_DENSITY_KGPM3 * ROOM_K);
    PlumeFound {
        centreline_speed_mps: 3.4 * (buoyancy * i.convective_power_kw / i.height_m).cbrt(),
    }
}

fn story_drift(i: &StoryDrift, warnings: &mut Warnings) -> StoryDriftFound {
    note_scale(i.scale_denominator, warnings);
    StoryDriftFound {
        story_speed_mps: i.stage_drift_mps * i.scale_denominator / i.frame_rate_ratio,
    }
}

fn quieting(i: &Quieting, _: &mut Warnings) -> QuietingFound {
    QuietingFound {
        time_s: i.constant * i.room_size_m / i.target_speed_mps,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    #[test]
    fn half_a_kilowatt_stirs_the_air() {
        let plume = Plume {
            convective_power_kw: 0.5,
            height_m: 2.0,
        }
        .work()
        .expect("in range");
        assert!((plume.centreline_speed_mps - 0.65).abs() < 0.005);
    }

    #[test]
    fn still_air_cannot_be_asked_for() {
        assert!(
            Quieting {
                room_size_m: 5.0,
                target_speed_mps: 0.0,
                constant: 1.0
            }
            .work()
            .is_err()
        );
    }

    proptest! {
        #[test]
        fn a_drift_plays_as_a_driven_model_would(story in 0.01..5.0, scale in 1.0..100.0, k in 1.0..12.0) {
            let model = crate::scale_time::ModelSpeed {
                story_speed_mps: story, scale_denominator: scale, rate_factor_k: k,
            }.work().expect("in range").model_speed_mps;
            let drift = StoryDrift { stage_drift_mps: model, scale_denominator: scale, frame_rate_ratio: k };
            prop_assert!((drift.work().expect("in range").story_speed_mps - story).abs() < 1e-9 * story);
        }
    }
}
