//! What is bought by area and volume: rubber, paint, sand.

use super::{MOST_SPARE, RUBBER_KGPM3};
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};

/// Gravity to the digits of a floor load, m/s².
const GRAVITY_MPS2: f64 = 9.81;
/// Newtons a square metre in a kilopascal.
const PA_PER_KPA: f64 = 1000.0;

calculation! { "materials";
    /// Rubber of a block mould: the box without the model in it.
    rubber_volume(RubberVolume {
        /// Length of the box inside.
        box_length_m: f64 = Above(0.0); usual 0.3,
        /// Width of the box inside.
        box_width_m: f64 = Above(0.0); usual 0.2,
        /// Height of the box inside.
        box_height_m: f64 = Above(0.0); usual 0.12,
        /// Volume of the model, as by the water it displaces.
        model_volume_m3: f64 = AtLeast(0.0); usual 0.0028,
        /// Density of the rubber.
        density_kgpm3: f64 = Above(0.0); default RUBBER_KGPM3,
        /// Share to mix on top.
        spare_fraction: f64 = Between(0.0, MOST_SPARE); default 0.0,
    }) -> RubberFound {
        /// Rubber to mix.
        rubber_m3: f64,
        /// The same by mass.
        rubber_kg: f64,
    }
    because "({box_length_m} × {box_width_m} × {box_height_m} − {model_volume_m3}) × (1 + {spare_fraction}) × {density_kgpm3} = {rubber_kg} kg"
    source "volume of the box less that of the model", Confirmed

    /// Rubber of a skin mould, or the shell over it.
    rubber_skin(RubberSkin {
        /// Surface to cover.
        surface_m2: f64 = Above(0.0); usual 0.35,
        /// Thickness of the skin.
        thickness_m: f64 = Above(0.0); usual 0.008,
        /// Density of the rubber.
        density_kgpm3: f64 = Above(0.0); default RUBBER_KGPM3,
        /// Share to mix on top.
        spare_fraction: f64 = Between(0.0, MOST_SPARE); default 0.0; usual 0.1,
    }) -> SkinFound {
        /// Rubber to mix.
        mass_kg: f64,
    }
    because "{surface_m2} × {thickness_m} × {density_kgpm3} × (1 + {spare_fraction}) = {mass_kg} kg"
    source "surface times thickness", Confirmed

    /// Paint for a surface.
    ///
    /// A litre covers 8 to 12 m² of sealed smooth board and 4 to 6 m² of raw plaster or foam (common practice; read the
    /// tin). A textured set has 1.2 to 2 times the area of its plan.
    paint(Paint {
        /// Area of the plan.
        area_m2: f64 = Above(0.0); usual 18.0,
        /// Coats.
        coats: f64 = Above(0.0); usual 2.0,
        /// Area that a litre covers once.
        coverage_m2pl: f64 = Above(0.0); usual 9.0,
        /// Share to buy on top.
        spare_fraction: f64 = Between(0.0, MOST_SPARE); default 0.0; usual 0.1,
        /// Surface over plan of a textured set.
        texture_factor: f64 = Between(1.0, 10.0); default 1.0,
    }) -> PaintFound {
        /// Paint to buy, in litres.
        litres: f64,
    }
    because "{area_m2} × {texture_factor} × {coats} ÷ {coverage_m2pl} × (1 + {spare_fraction}) = {litres} L"
    source "area over coverage", CommonPractice

    /// Sand, gravel or the like for a bed.
    ///
    /// Poured sand settles 5 to 10 % as it is shaken (common practice).
    granular(Granular {
        /// Length of the bed.
        bed_length_m: f64 = Above(0.0); usual 2.4,
        /// Width of the bed.
        bed_width_m: f64 = Above(0.0); usual 1.2,
        /// Mean depth.
        depth_m: f64 = Above(0.0); usual 0.05,
        /// Density as poured.
        bulk_density_kgpm3: f64 = Above(0.0); usual 1600.0,
        /// Share to buy on top.
        spare_fraction: f64 = Between(0.0, MOST_SPARE); default 0.0; usual 0.1,
    }) -> GranularFound {
        /// Volume to buy.
        volume_m3: f64,
        /// Mass to carry.
        mass_kg: f64,
        /// What it weighs on the floor, in kilopascals.
        floor_load_kpa: f64,
    }
    because "{bed_length_m} × {bed_width_m} × {depth_m} × (1 + {spare_fraction}) × {bulk_density_kgpm3} = {mass_kg} kg, {floor_load_kpa} kPa on the floor"
    source "volume times bulk density", Confirmed

    /// Share of a poured bed that is air.
    granular_voids(GranularVoids {
        /// Density of a grain.
        grain_density_kgpm3: f64 = Above(0.0); usual 2650.0,
        /// Density as poured.
        bulk_density_kgpm3: f64 = Above(0.0); usual 1600.0,
    }) -> VoidsFound {
        /// Share of air.
        void_fraction: f64,
    }
    because "1 − {bulk_density_kgpm3} ÷ {grain_density_kgpm3} = {void_fraction}"
    source "definition of the void fraction", Confirmed
}

fn rubber_volume(i: &RubberVolume, _: &mut Warnings) -> Result<RubberFound, Fault> {
    let box_m3 = i.box_length_m * i.box_width_m * i.box_height_m;
    if i.model_volume_m3 >= box_m3 {
        let problem = "The model does not fit into this box: no rubber is left around it.";
        return Err(Fault::new(
            "model_volume_m3",
            FaultKind::OutOfRange,
            problem,
        ));
    }
    let rubber_m3 = (box_m3 - i.model_volume_m3) * (1.0 + i.spare_fraction);
    Ok(RubberFound {
        rubber_m3,
        rubber_kg: rubber_m3 * i.density_kgpm3,
    })
}

fn rubber_skin(i: &RubberSkin, _: &mut Warnings) -> SkinFound {
    SkinFound {
        mass_kg: i.surface_m2 * i.thickness_m * i.density_kgpm3 * (1.0 + i.spare_fraction),
    }
}

fn paint(i: &Paint, _: &mut Warnings) -> PaintFound {
    PaintFound {
        litres: i.area_m2 * i.texture_factor * i.coats / i.coverage_m2pl * (1.0 + i.spare_fraction),
    }
}

fn granular(i: &Granular, _: &mut Warnings) -> GranularFound {
    let area_m2 = i.bed_length_m * i.bed_width_m;
    let volume_m3 = area_m2 * i.depth_m * (1.0 + i.spare_fraction);
    let mass_kg = volume_m3 * i.bulk_density_kgpm3;
    GranularFound {
        volume_m3,
        mass_kg,
        floor_load_kpa: mass_kg * GRAVITY_MPS2 / area_m2 / PA_PER_KPA,
    }
}

fn granular_voids(i: &GranularVoids, _: &mut Warnings) -> Result<VoidsFound, Fault> {
    if i.bulk_density_kgpm3 > i.grain_density_kgpm3 {
        let problem = "Poured grains cannot be denser than a grain: check both densities.";
        return Err(Fault::new(
            "bulk_density_kgpm3",
            FaultKind::OutOfRange,
            problem,
        ));
    }
    Ok(VoidsFound {
        void_fraction: 1.0 - i.bulk_density_kgpm3 / i.grain_density_kgpm3,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;

    #[test]
    fn a_model_larger_than_its_box_and_grains_lighter_than_their_bed_are_refused() {
        let mould = RubberVolume {
            box_length_m: 0.1,
            box_width_m: 0.1,
            box_height_m: 0.1,
            model_volume_m3: 0.002,
            density_kgpm3: RUBBER_KGPM3,
            spare_fraction: 0.0,
        };
        assert_eq!(
            mould.work().expect_err("refused")[0].field,
            "model_volume_m3"
        );
        let voids = GranularVoids {
            grain_density_kgpm3: 1500.0,
            bulk_density_kgpm3: 1600.0,
        };
        assert_eq!(
            voids.work().expect_err("refused")[0].field,
            "bulk_density_kgpm3"
        );
    }

    #[test]
    fn five_centimetres_of_sand_load_the_floor_as_much_anywhere() {
        let bed = |bed_length_m| Granular {
            bed_length_m,
            bed_width_m: 1.2,
            depth_m: 0.05,
            bulk_density_kgpm3: 1600.0,
            spare_fraction: 0.0,
        };
        for length_m in [0.5, 2.4, 9.0] {
            let load = bed(length_m).work().expect("in range").floor_load_kpa;
            assert!((load - 0.7848).abs() < 1e-9);
        }
    }
}
