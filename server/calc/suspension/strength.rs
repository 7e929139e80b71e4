//! Strength of a line: shock, knots, stretch and what is left to spare.

use crate::calculation::calculation;
use crate::fault::Warnings;
use crate::figure::found;
use crate::input::choice;
use std::f64::consts::PI;

/// Unknown knots are taken to leave this share; common practice, no source.
const UNKNOWN_KNOT: f64 = 0.4;
/// Less than this is refused for anything that matters; common practice, the figure from memory.
const LEAST_MARGIN: f64 = 5.0;
/// From here on a margin is good; common practice, the figure from memory.
const GOOD_MARGIN: f64 = 10.0;

choice! {
    /// How the end of a line is made.
    Knot {
        /// Half hitch drawn over itself.
        Overhand = "overhand",
        /// Fixed loop.
        Bowline = "bowline",
        /// Two hitches round a bar.
        CloveHitch = "clove_hitch",
        /// Turns round the line, drawn back through the eye, on monofilament.
        ClinchOnMonofilament = "clinch_on_monofilament",
        /// Eye woven back into the line.
        EyeSplice = "eye_splice",
        /// Any other, or not known.
        Unknown = "unknown",
    }
}

impl Knot {
    /// Share of the line's breaking load that is left.
    const fn efficiency(self) -> f64 {
        match self {
            Self::Overhand => 0.45,
            Self::Bowline => 0.60,
            Self::CloveHitch => 0.75,
            Self::ClinchOnMonofilament => 0.80,
            Self::EyeSplice => 0.95,
            Self::Unknown => UNKNOWN_KNOT,
        }
    }
}

calculation! { "suspension";
    /// How many times its weight a load pulls when it drops through slack and the line catches it.
    ///
    /// 1 + √(1 + 2h/δ): a load let go without slack already pulls twice. A stiff line makes it large. A shock load may
    /// part a line that holds for years at rest: nothing hangs over people.
    shock_factor(ShockFactor {
        /// Drop before the line is taut.
        slack_drop_m: f64 = AtLeast(0.0); usual 0.01,
        /// Stretch of the line under the load at rest.
        static_stretch_m: f64 = Above(0.0); usual 0.004,
    }) -> Shock {
        /// Highest pull over the weight.
        shock_factor: f64,
    }
    because "1 + √(1 + 2 × {slack_drop_m} ÷ {static_stretch_m}) = {shock_factor} times the weight"
    source "university mechanics notes on impact factors, agreed by an integrated fall", Confirmed

    /// How many times a line is stronger than its worst pull, knot and shock counted.
    ///
    /// Ten and more is good. From five to ten only with nobody below and an independent second line (`line_over_people`);
    /// less than five is refused for anything that matters (`margin_low`). Those edges are common practice, from memory.
    /// Planning only: overhead rigging is a qualified rigger's work under local rules.
    line_margin(LineMargin {
        /// Tension of the line at rest.
        static_tension_n: f64 = Above(0.0); usual 6.0,
        /// Load at which the new line breaks.
        breaking_load_n: f64 = Above(0.0); usual 200.0,
        /// Share of it that the knots leave; an unknown knot leaves 0.4.
        knot_efficiency: f64 = AboveUpTo(0.0, 1.0); default UNKNOWN_KNOT; usual 0.8,
        /// Highest pull over the pull at rest: 1 at rest, 2 when let go.
        dynamic_factor: f64 = AtLeast(1.0); usual 2.0,
    }) -> Margin {
        /// Highest pull.
        working_load_n: f64,
        /// Strength over highest pull.
        margin: f64,
        /// What that allows; common practice, no source.
        grade: &'static str,
    }
    because "{breaking_load_n} × {knot_efficiency} ÷ ({static_tension_n} × {dynamic_factor}) = {margin} times stronger than the worst pull: {grade}"
    source "definition; 5 and 10 are the figures usually quoted for slings and over people, from memory", Confirmed

    /// Share of a line's strength that a knot leaves.
    ///
    /// One handbook's table; scatter is large, and a pull test of the line at hand outranks it. An unknown knot is taken
    /// at 0.4. Planning only: overhead rigging is a qualified rigger's work under local rules.
    knot_efficiency(KnotEfficiency {
        /// The knot.
        knot: Knot = Any; usual Knot::ClinchOnMonofilament,
    }) -> Efficiency {
        /// Share of the breaking load that is left.
        efficiency: f64,
    }
    because knot_efficiency_because
    source "one handbook table of knots; Revision of Commonly Used Loop Knots Efficiencies (2020) shows the scatter", Confirmed

    /// How much a line stretches under its load.
    ///
    /// T L/(E A), for a straight elastic line. Moduli from memory, in gigapascals: nylon monofilament 2 to 4, polyester 10 to 15,
    /// aramid 70 to 110, high-modulus polyethylene 60 to 120, steel 190 to 200, tungsten 400. Measure the line at hand.
    stretch(Stretch {
        /// Tension of the line.
        tension_n: f64 = Above(0.0); usual 5.0,
        /// Length of the line.
        length_m: f64 = Above(0.0); usual 2.4,
        /// Thickness of the line.
        diameter_mm: f64 = Above(0.0); usual 0.35,
        /// Stiffness of its material.
        modulus_gpa: f64 = Above(0.0); usual 2.5,
    }) -> Stretched {
        /// How much longer it gets.
        stretch_mm: f64,
    }
    because "4 × {tension_n} × {length_m} ÷ (π × {diameter_mm}^2 × {modulus_gpa}) = {stretch_mm} mm longer"
    source "Hooke's law", Confirmed
}

fn shock_factor(i: &ShockFactor, _: &mut Warnings) -> Shock {
    Shock {
        shock_factor: 1.0 + (1.0 + 2.0 * i.slack_drop_m / i.static_stretch_m).sqrt(),
    }
}

fn line_margin(i: &LineMargin, warnings: &mut Warnings) -> Margin {
    let working_load_n = i.static_tension_n * i.dynamic_factor;
    let margin = i.breaking_load_n * i.knot_efficiency / working_load_n;
    warnings.add_if(margin < LEAST_MARGIN, "margin_low");
    warnings.add_if(margin < GOOD_MARGIN, "line_over_people");
    let grade = if margin < LEAST_MARGIN {
        "refuse it"
    } else if margin < GOOD_MARGIN {
        "only with nobody below and an independent second line"
    } else {
        "good"
    };
    Margin {
        working_load_n,
        margin,
        grade,
    }
}

fn knot_efficiency(i: &KnotEfficiency, _: &mut Warnings) -> Efficiency {
    Efficiency {
        efficiency: i.knot.efficiency(),
    }
}

fn knot_efficiency_because(i: &KnotEfficiency, a: &Efficiency) -> String {
    format!(
        "100 × {} = {} % of the line's strength is left by this knot, which is {}",
        found(a.efficiency),
        found(100.0 * a.efficiency),
        crate::input::Typed::shown(&i.knot)
    )
}

/// Stretch of a round line, in mm.
pub(super) fn stretch_mm(tension_n: f64, length_m: f64, diameter_mm: f64, modulus_gpa: f64) -> f64 {
    let area_mm2 = PI * diameter_mm.powi(2) / 4.0;
    // the powers of ten cancel: 1 N m ÷ (1 mm² × 1 GPa) is 1 mm
    tension_n * length_m / (area_mm2 * modulus_gpa)
}

fn stretch(i: &Stretch, _: &mut Warnings) -> Stretched {
    Stretched {
        stretch_mm: stretch_mm(i.tension_n, i.length_m, i.diameter_mm, i.modulus_gpa),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Calculate, FaultKind};

    fn margin(
        breaking_load_n: f64,
        dynamic_factor: f64,
    ) -> Result<crate::Worked<Margin>, Vec<crate::Fault>> {
        LineMargin {
            static_tension_n: 1.0,
            breaking_load_n,
            knot_efficiency: 1.0,
            dynamic_factor,
        }
        .work()
    }

    #[test]
    fn margins_are_graded_at_five_and_ten() {
        for (breaking_load_n, doubts) in [
            (4.999, vec!["margin_low", "line_over_people"]),
            (5.0, vec!["line_over_people"]),
            (9.999, vec!["line_over_people"]),
            (10.0, vec![]),
        ] {
            assert_eq!(
                margin(breaking_load_n, 1.0).expect("in range").warnings,
                doubts
            );
        }
    }

    #[test]
    fn nothing_pulls_less_than_at_rest() {
        assert_eq!(
            margin(10.0, 0.9).expect_err("refused")[0].kind,
            FaultKind::OutOfRange
        );
    }

    #[test]
    fn an_unknown_knot_is_trusted_least() {
        let least = Knot::ALL
            .iter()
            .map(|knot| knot.efficiency())
            .fold(1.0, f64::min);
        assert!((least - UNKNOWN_KNOT).abs() < f64::EPSILON);
    }
}
