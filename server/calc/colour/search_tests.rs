//! The search against the plainest search there is.

use super::super::lamp::planck;
use super::super::sheet::Filter;
use super::*;
use crate::Warnings;
use proptest::prelude::*;

fn stocked(name: usize, filter: &Filter) -> Stocked {
    Stocked {
        name: name.to_string(),
        through: filter.transmittance(&mut Warnings::default()),
        sheets: None,
    }
}

fn stock(shifts: &[f64], densities: &[f64]) -> Vec<Stocked> {
    let shifts = shifts.iter().map(|shift| Filter::ideal_shift(*shift));
    let greens = densities.iter().enumerate().map(|(at, density)| {
        if at % 2 == 0 {
            Filter::PlusGreen { density: *density }
        } else {
            Filter::MinusGreen { density: *density }
        }
    });
    shifts
        .chain(greens)
        .enumerate()
        .map(|(name, filter)| stocked(name, &filter))
        .collect()
}

fn wanted(target: Chromaticity) -> Wanted {
    Wanted {
        lamp: planck(3200.0),
        target,
        max_gels: 3,
        repeats_allowed: true,
        min_luminous_transmittance: 0.0,
    }
}

/// The light behind sheets, in whatever order.
fn behind(stock: &[Stocked], places: &[usize], wanted: &Wanted) -> Xyz {
    let gelled = places.iter().fold(wanted.lamp, |light, place| {
        product(&light, &stock[*place].through)
    });
    tristimulus(&gelled)
}

fn delta(light: Xyz, target: Chromaticity) -> f64 {
    let (u, v) = light.chromaticity().expect("light").uv_prime();
    let (target_u, target_v) = target.uv_prime();
    (u - target_u).hypot(v - target_v)
}

/// The least distance over ordered triples, nothing included.
fn by_brute_force(stock: &[Stocked], wanted: &Wanted) -> f64 {
    let bare = tristimulus(&wanted.lamp).y;
    let none_or_one: Vec<Option<usize>> = std::iter::once(None)
        .chain((0..stock.len()).map(Some))
        .collect();
    let mut least = f64::INFINITY;
    for a in &none_or_one {
        for b in &none_or_one {
            for c in &none_or_one {
                let places: Vec<usize> = [a, b, c].into_iter().copied().flatten().collect();
                let light = behind(stock, &places, wanted);
                if light.y >= wanted.min_luminous_transmittance * bare {
                    least = least.min(delta(light, wanted.target));
                }
            }
        }
    }
    least
}

#[test]
fn sheets_in_stock_are_not_exceeded() {
    let target = Chromaticity { x: 0.33, y: 0.34 };
    let mut gels = stock(&[-45.0], &[]);
    let wanted = wanted(target);
    assert_eq!(best_stacks(&gels, &wanted)[0].places, [0, 0, 0]);
    for sheets in 0..3_u32 {
        gels[0].sheets = Some(sheets);
        let best = &best_stacks(&gels, &wanted)[0].places;
        assert_eq!(best.len(), usize::try_from(sheets).expect("small"));
    }
    gels[0].sheets = None;
    let once = Wanted {
        repeats_allowed: false,
        ..wanted
    };
    assert_eq!(best_stacks(&gels, &once)[0].places, [0]);
}

#[test]
fn a_bare_lamp_wins_when_it_is_what_is_wanted() {
    let bare = tristimulus(&planck(3200.0)).chromaticity().expect("light");
    let best = best_stacks(&stock(&[20.0, -20.0], &[]), &wanted(bare));
    assert!(best[0].places.is_empty() && best[0].delta_uprime_vprime < 1e-12);
    assert!(best_stacks(&[], &wanted(bare)).len() == 1);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn it_finds_what_brute_force_finds(
        shifts in proptest::collection::vec(-140.0..140.0_f64, 1..5),
        densities in proptest::collection::vec(0.02..0.5_f64, 1..4),
        x in 0.2..0.5_f64, y in 0.25..0.45_f64, least in 0.0..0.5_f64,
    ) {
        let gels = stock(&shifts, &densities);
        let wanted = Wanted { min_luminous_transmittance: least, ..wanted(Chromaticity { x, y }) };
        let best = best_stacks(&gels, &wanted);
        prop_assert!((best[0].delta_uprime_vprime - by_brute_force(&gels, &wanted)).abs() < 2e-7);
        for stack in &best {
            prop_assert!(stack.luminous_transmittance >= least);
            let light = behind(&gels, &stack.places, &wanted);
            prop_assert!((delta(light, wanted.target) - stack.delta_uprime_vprime).abs() < 1e-9);
        }
        let mut lists: Vec<_> = best.iter().map(|stack| &stack.places).collect();
        lists.sort();
        lists.dedup();
        prop_assert_eq!(lists.len(), best.len());
    }

    #[test]
    fn shuffling_the_stock_changes_nothing(
        shifts in proptest::collection::vec(-140.0..140.0_f64, 2..7), turn in 1..6_usize,
        x in 0.2..0.5_f64, y in 0.25..0.45_f64,
    ) {
        let gels = stock(&shifts, &[0.3, 0.3]);
        let mut shuffled = gels.clone();
        shuffled.reverse();
        let turn = turn % gels.len();
        shuffled.rotate_left(turn);
        let wanted = wanted(Chromaticity { x, y });
        let names = |gels: &[Stocked]| -> Vec<(u64, Vec<String>)> {
            best_stacks(gels, &wanted).iter().map(|stack| {
                let mut names: Vec<_> = stack.places.iter().map(|place| gels[*place].name.clone()).collect();
                names.sort();
                (stack.delta_uprime_vprime.to_bits(), names)
            }).collect()
        };
        prop_assert_eq!(names(&gels), names(&shuffled));
    }

    #[test]
    fn a_clear_gel_changes_nothing(
        shifts in proptest::collection::vec(-140.0..140.0_f64, 1..6), x in 0.2..0.5_f64, y in 0.25..0.45_f64,
    ) {
        let gels = stock(&shifts, &[0.2]);
        let wanted = wanted(Chromaticity { x, y });
        let before = best_stacks(&gels, &wanted);
        let mut with_clear = gels.clone();
        with_clear.push(Stocked { name: "clear".to_owned(), through: [1.0; SAMPLES], sheets: None });
        let after = best_stacks(&with_clear, &wanted);
        prop_assert_eq!(&before[0].places, &after[0].places);
        prop_assert!(!after[0].places.contains(&gels.len()));
    }

    #[test]
    fn a_known_stack_is_found_again(
        shifts in proptest::collection::vec(-140.0..140.0_f64, 3..8), seed in 0..1000_usize,
    ) {
        let gels = stock(&shifts, &[0.3, 0.25]);
        let places = [seed % gels.len(), seed / 7 % gels.len(), seed / 61 % gels.len()];
        let start = wanted(Chromaticity { x: 0.3, y: 0.3 });
        let target = behind(&gels, &places, &start).chromaticity().expect("light");
        let best = best_stacks(&gels, &wanted(target));
        prop_assert!(best[0].delta_uprime_vprime < 1e-7);
        prop_assert!(best.iter().map(|stack| stack.delta_uprime_vprime).fold(1.0, f64::min) < 1e-9);
    }
}
