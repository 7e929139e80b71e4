//! What a piece weighs, and how many come out of a block of foam.

use super::{along, too_large};
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{found, given};
use crate::input::choice;
use std::f64::consts::PI;
use std::sync::LazyLock;

/// Above this two people or a trolley carry it; common practice, no source.
const TWO_PEOPLE_KG: f64 = 15.0;
/// Above this the lift is planned; common practice, no source.
const PLANNED_LIFT_KG: f64 = 25.0;
/// Wall over the radius of a ball of that surface, from which area times wall is a tenth too much.
const THIN_WALL: f64 = 0.1;

/// A density to start from, until the crew has weighed its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Density {
    /// The material: `extruded_polystyrene`.
    pub material: String,
    /// Its density.
    pub density_kgpm3: f64,
    /// Whether it is of the solid, of a sheet, or as poured.
    pub kind: String,
    /// Where the number is from, and its usual range.
    pub source: String,
}

/// The densities known to start from.
pub fn densities() -> &'static [Density] {
    static ROWS: LazyLock<Vec<Density>> = LazyLock::new(|| {
        crate::table::rows(include_str!("../data/material_densities.csv"))
            .iter()
            .filter_map(|row| {
                let cell = |name: &str| row.get(name).cloned().unwrap_or_default();
                Some(Density {
                    material: cell("material"),
                    density_kgpm3: cell("density_kg_m3").parse().ok()?,
                    kind: cell("kind"),
                    source: cell("source"),
                })
            })
            .collect()
    });
    &ROWS
}

choice! {
    /// Which ways a part may lie in its block.
    FoamTurns {
        /// Any way.
        Any = "any",
        /// Its height stays upright, as grain or face asks.
        Upright = "upright",
    }
}

impl FoamTurns {
    /// Which side of the part lies along each side of the block.
    const fn ways(self) -> &'static [[usize; 3]] {
        match self {
            Self::Any => &[
                [0, 1, 2],
                [1, 0, 2],
                [0, 2, 1],
                [2, 0, 1],
                [1, 2, 0],
                [2, 1, 0],
            ],
            Self::Upright => &[[0, 1, 2], [1, 0, 2]],
        }
    }
}

calculation! { "materials";
    /// What a solid piece weighs.
    ///
    /// Above 15 kg it is told (`two_people_or_trolley`), above 25 kg too (`plan_the_lift`); both common practice. A rigged
    /// piece weighs a tenth more for glue, paint and hardware, and wet plaster much more.
    piece_mass(PieceMass {
        /// Name of the material; needed when no density is given.
        material: Option<String> = Any; usual "extruded_polystyrene".to_owned(),
        /// Volume of the piece.
        volume_m3: f64 = Above(0.0); usual 0.12,
        /// Density; that of the material when it is not given.
        density_kgpm3: Option<f64> = Above(0.0); usual 33.0,
    }) -> PieceMassFound {
        /// Mass of the piece.
        mass_kg: f64,
    }
    because piece_mass_because
    source "mass is density times volume; densities are handbook values, from memory", FromMemory

    /// What a hollow cast weighs.
    ///
    /// Surface times wall, for walls that are thin against the piece; told (`wall_not_thin`) from a tenth of its radius,
    /// and of the lift as for a solid piece.
    hollow_cast(HollowCast {
        /// Surface of the piece.
        surface_m2: f64 = Above(0.0); usual 0.8,
        /// Thickness of the wall.
        wall_m: f64 = Above(0.0); usual 0.006,
        /// Density of the material.
        density_kgpm3: f64 = Above(0.0); usual 1060.0,
    }) -> HollowFound {
        /// Mass of the cast.
        mass_kg: f64,
    }
    because "{surface_m2} × {wall_m} × {density_kgpm3} = {mass_kg} kg"
    source "surface times wall", Confirmed

    /// Parts out of a block of foam.
    foam_blocks(FoamBlocks {
        /// Length, width and height of the block.
        block_m: [f64; 3] = Above(0.0); usual [2.4, 1.2, 0.1],
        /// Length, width and height of the part.
        part_m: [f64; 3] = Above(0.0); usual [0.5, 0.35, 0.1],
        /// Width of the cut.
        kerf_m: f64 = AtLeast(0.0); default 0.0; usual 0.002,
        /// Which ways a part may lie.
        turns: FoamTurns = Any; default FoamTurns::Any,
    }) -> FoamFound {
        /// Parts from one block.
        parts: u32,
        /// Share of the block that ends in parts.
        yield_fraction: f64,
    }
    because foam_blocks_because
    source "count of whole parts along each side", Confirmed
}

/// The density given, or that of the material named.
fn density_kgpm3(i: &PieceMass) -> Result<f64, Fault> {
    let named = i.material.as_deref().and_then(|material| {
        let row = densities().iter().find(|row| row.material == material);
        row.map(|row| row.density_kgpm3)
    });
    if let Some(density) = i.density_kgpm3.or(named) {
        return Ok(density);
    }
    if i.material.is_none() {
        let problem = "Density is needed, or the name of a material.";
        return Err(Fault::new("density_kgpm3", FaultKind::Missing, problem));
    }
    let known: Vec<_> = densities()
        .iter()
        .map(|row| row.material.as_str())
        .collect();
    let problem = format!(
        "Without a density, material must be one of {}.",
        known.join(", ")
    );
    Err(Fault::new("material", FaultKind::NotOneOf, problem))
}

fn note_lift(mass_kg: f64, warnings: &mut Warnings) {
    warnings.add_if(mass_kg > TWO_PEOPLE_KG, "two_people_or_trolley");
    warnings.add_if(mass_kg > PLANNED_LIFT_KG, "plan_the_lift");
}

fn piece_mass(i: &PieceMass, warnings: &mut Warnings) -> Result<PieceMassFound, Fault> {
    let mass_kg = density_kgpm3(i)? * i.volume_m3;
    note_lift(mass_kg, warnings);
    Ok(PieceMassFound { mass_kg })
}

fn piece_mass_because(i: &PieceMass, a: &PieceMassFound) -> String {
    format!(
        "{} × {} = {} kg",
        given(i.volume_m3),
        given(density_kgpm3(i).unwrap_or(0.0)),
        found(a.mass_kg)
    )
}

fn hollow_cast(i: &HollowCast, warnings: &mut Warnings) -> HollowFound {
    let mass_kg = i.surface_m2 * i.wall_m * i.density_kgpm3;
    let radius_m = (i.surface_m2 / (4.0 * PI)).sqrt();
    warnings.add_if(i.wall_m > THIN_WALL * radius_m, "wall_not_thin");
    note_lift(mass_kg, warnings);
    HollowFound { mass_kg }
}

/// The best counts along the three sides of the block.
fn counts(i: &FoamBlocks) -> Result<[u32; 3], Fault> {
    let mut best = [0; 3];
    let product = |counts: &[u32; 3]| {
        counts
            .iter()
            .map(|count| u64::from(*count))
            .product::<u64>()
    };
    for way in i.turns.ways() {
        let mut counts = [0; 3];
        for (count, (side_m, place)) in counts.iter_mut().zip(i.block_m.iter().zip(way)) {
            *count = along("part_m", *side_m, i.part_m[*place], i.kerf_m)?;
        }
        if product(&counts) > product(&best) {
            best = counts;
        }
    }
    Ok(best)
}

fn foam_blocks(i: &FoamBlocks, _: &mut Warnings) -> Result<FoamFound, Fault> {
    let all: u64 = counts(i)?.iter().map(|count| u64::from(*count)).product();
    if all == 0 {
        return Err(too_large("part_m", "block"));
    }
    let parts = u32::try_from(all).map_err(|_| {
        let problem = "More parts than anyone cuts: check the sizes typed.";
        Fault::new("part_m", FaultKind::OutOfRange, problem)
    })?;
    let volume_m3 = |sides: &[f64; 3]| sides.iter().product::<f64>();
    Ok(FoamFound {
        parts,
        yield_fraction: f64::from(parts) * volume_m3(&i.part_m) / volume_m3(&i.block_m),
    })
}

fn foam_blocks_because(i: &FoamBlocks, a: &FoamFound) -> String {
    let [x, y, z] = counts(i).unwrap_or_default();
    format!(
        "{x} × {y} × {z} = {} parts, {} of the block",
        found(f64::from(a.parts)),
        found(a.yield_fraction)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn piece(material: Option<&str>, density_kgpm3: Option<f64>) -> PieceMass {
        PieceMass {
            material: material.map(str::to_owned),
            volume_m3: 0.01,
            density_kgpm3,
        }
    }

    #[test]
    fn a_density_is_given_or_known_by_its_material() {
        let steel = piece(Some("steel"), None).work().expect("in the table");
        assert!((steel.mass_kg - 78.5).abs() < 1e-9);
        assert_eq!(steel.warnings, ["two_people_or_trolley", "plan_the_lift"]);
        let own = piece(Some("papier mâché"), Some(500.0))
            .work()
            .expect("in range");
        assert!((own.mass_kg - 5.0).abs() < 1e-9 && own.warnings.is_empty());
        let kind = |asked: PieceMass| asked.work().expect_err("refused")[0].kind;
        assert_eq!(kind(piece(Some("papier mâché"), None)), FaultKind::NotOneOf);
        assert_eq!(kind(piece(None, None)), FaultKind::Missing);
        assert!(densities().len() > 30);
    }

    #[test]
    fn upright_parts_may_be_fewer() {
        let cut = |turns| FoamBlocks {
            block_m: [1.0, 1.0, 0.3],
            part_m: [0.3, 0.3, 0.5],
            kerf_m: 0.0,
            turns,
        };
        assert_eq!(cut(FoamTurns::Any).work().expect("in range").parts, 6);
        let faults = cut(FoamTurns::Upright).work().expect_err("refused");
        assert_eq!(faults[0].field, "part_m");
    }

    #[test]
    fn a_thick_wall_is_told() {
        let cast = HollowCast {
            surface_m2: 0.01,
            wall_m: 0.006,
            density_kgpm3: 1000.0,
        };
        assert_eq!(cast.work().expect("in range").warnings, ["wall_not_thin"]);
    }

    proptest! {
        #[test]
        fn parts_never_fill_more_than_the_block(sides in proptest::array::uniform3(0.02..0.6_f64), kerf in 0.0..0.01_f64) {
            let cut = FoamBlocks { block_m: [2.4, 1.2, 0.6], part_m: sides, kerf_m: kerf, turns: FoamTurns::Any };
            let cut = cut.work().expect("every part fits");
            prop_assert!(cut.parts > 0 && cut.yield_fraction <= 1.0 + 1e-9);
        }
    }
}
