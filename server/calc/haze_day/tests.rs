use super::*;
use crate::Calculate as _;
use crate::haze_fill::{Decay, FillLevel, TimeToTarget, TopUp as TopUpRate};

fn air() -> Air {
    Air {
        room_m3: 420.0,
        leak_per_h: 0.3,
        settling_per_h: 0.3,
        purge_per_h: 20.0,
        room_shooting_per_h: 1.0,
        room_between_per_h: 4.0,
        airborne_gpmin: 3.0,
        band: 0.08,
        clear_mgpm3: 10.0,
    }
}

fn held(start_min: f64, end_min: f64, wanted_mgpm3: f64) -> Held {
    Held {
        start_min,
        end_min,
        wanted_mgpm3,
        tent_m3: Some(14.08),
    }
}

fn close(actual: f64, expected: f64, relative: f64) {
    assert!(
        (actual - expected).abs() <= relative * expected.abs().max(1e-9),
        "{actual} for {expected}"
    );
}

/// The rates of B5 one by one, through the calculations that have their own check rows.
#[test]
fn every_piece_is_the_closed_form_of_a_well_mixed_box() {
    let day = course(&air(), &[held(540.0, 660.0, 256.0)], 480.0, 720.0);
    let mut seen = Vec::new();
    for piece in &day.pieces {
        let minutes = piece.end_min - piece.start_min;
        let level = if piece.rates.airborne_gpmin > 0.0 {
            let fill = FillLevel {
                airborne_rate_gpmin: piece.rates.airborne_gpmin,
                volume_m3: piece.rates.into_m3,
                total_loss_per_h: piece.rates.loss_per_h,
                concentration_start_mgpm3: piece.start.tent_mgpm3,
                time_min: minutes,
            };
            fill.work().expect("it fills").concentration_mgpm3
        } else {
            let decay = Decay {
                concentration_start_mgpm3: piece.start.tent_mgpm3,
                total_loss_per_h: piece.rates.loss_per_h,
                time_min: minutes,
            };
            decay.work().expect("it thins").concentration_mgpm3
        };
        close(piece.end().tent_mgpm3, level, 1e-9);
        seen.push(piece.act);
    }
    for act in [Act::Rest, Act::Fill, Act::Hold, Act::TopUp, Act::Purge] {
        assert!(seen.contains(&act), "{act:?} in {seen:?}");
    }
}

#[test]
fn fills_and_top_ups_come_when_the_closed_forms_say() {
    let day = course(&air(), &[held(540.0, 660.0, 256.0)], 480.0, 720.0);
    let fill = day
        .pieces
        .iter()
        .find(|p| p.act == Act::Fill)
        .expect("a fill");
    let time = TimeToTarget {
        airborne_rate_gpmin: 3.0,
        volume_m3: 14.08,
        total_loss_per_h: 0.6,
        concentration_start_mgpm3: 0.0,
        target_mgpm3: 256.0 * 1.08,
    };
    close(
        fill.end_min - fill.start_min,
        time.work().expect("a time").time_min,
        1e-9,
    );
    close(fill.end_min, 540.0, 1e-9);
    let top_up = TopUpRate {
        concentration_high_mgpm3: 256.0 * 1.08,
        concentration_low_mgpm3: 256.0 * 0.92,
        total_loss_per_h: 0.6,
        volume_m3: 14.08,
    };
    let top_up = top_up.work().expect("an interval");
    close(day.top_ups[0].at_min - 540.0, top_up.interval_min, 1e-9);
    // ln(1.08 ÷ 0.92) ÷ 0.6 × 60 = 16.03 minutes, as the drawn day has it.
    close(day.top_ups[0].at_min - 540.0, 16.034, 1e-3);
    for one in &day.top_ups {
        // While it runs it also loses a little.
        assert!(one.airborne_g > top_up.airborne_mass_per_topup_g);
        close(one.airborne_g, top_up.airborne_mass_per_topup_g, 0.02);
        close(one.run_s, one.airborne_g / 3.0 * 60.0, 1e-9);
    }
}

#[test]
fn mass_is_kept() {
    let rates = Rates {
        airborne_gpmin: 2.0,
        into_m3: 14.0,
        loss_per_h: 0.7,
        leak_per_h: 0.7,
        room_m3: 400.0,
        room_loss_per_h: 0.0,
        in_room: false,
    };
    // All the tent loses is in the room, and the room loses nothing.
    let after = rates.after(State::default(), 0.5);
    let mg = after.tent_mgpm3 * 14.0 + after.room_mgpm3 * 400.0;
    close(mg, 2.0 * 30.0 * 1000.0, 1e-9);
}

#[test]
fn a_piece_cut_anywhere_is_the_same_piece() {
    for (l, m, g) in [
        (0.6, 1.0, 3.0),
        (0.6, 0.6, 3.0),
        (20.6, 4.3, 0.0),
        (0.0, 0.0, 1.0),
        (0.0, 2.0, 1.0),
        (1.0, 0.0, 0.0),
    ] {
        for in_room in [false, true] {
            let rates = Rates {
                airborne_gpmin: g,
                into_m3: 14.0,
                loss_per_h: l,
                leak_per_h: l / 2.0,
                room_m3: 420.0,
                room_loss_per_h: m,
                in_room,
            };
            let from = State {
                tent_mgpm3: 200.0,
                room_mgpm3: if in_room { 200.0 } else { 5.0 },
                dose_mg_h_pm3: 1.0,
            };
            let whole = rates.after(from, 0.8);
            let parts = rates.after(rates.after(from, 0.3), 0.5);
            close(parts.tent_mgpm3, whole.tent_mgpm3, 1e-9);
            close(parts.room_mgpm3, whole.room_mgpm3, 1e-9);
            close(parts.dose_mg_h_pm3, whole.dose_mg_h_pm3, 1e-8);
        }
    }
}

#[test]
fn the_average_is_the_direct_integral() {
    let setups = [held(540.0, 660.0, 256.0), held(720.0, 800.0, 1126.0)];
    let day = course(&air(), &setups, 480.0, 1000.0);
    let sum = breathed(&day);
    let steps = 520_000;
    let width = 520.0 / f64::from(steps);
    let dose: f64 = (0..steps)
        .map(|n| day.at(480.0 + (f64::from(n) + 0.5) * width).room_mgpm3 * width / 60.0)
        .sum();
    close(sum.dose_mg_h_pm3, dose, 1e-6);
    close(sum.average_8h_mgpm3, dose / 8.0, 1e-6);
    assert!(sum.worst_quarter_mgpm3 <= sum.peak_mgpm3);
    assert!(sum.worst_quarter_mgpm3 > sum.average_8h_mgpm3);
}

#[test]
fn the_same_haze_in_the_same_tent_is_left_standing() {
    let same = [held(540.0, 600.0, 256.0), held(620.0, 700.0, 256.0)];
    let day = course(&air(), &same, 480.0, 760.0);
    let purges = day.pieces.iter().filter(|p| p.act == Act::Purge).count();
    assert_eq!(purges, 1, "only in the evening");
    let thinner = [held(540.0, 600.0, 256.0), held(640.0, 700.0, 100.0)];
    let day = course(&air(), &thinner, 480.0, 760.0);
    assert_eq!(day.pieces.iter().filter(|p| p.act == Act::Purge).count(), 2);
}

#[test]
fn what_is_never_reached_is_said() {
    let weak = Air {
        airborne_gpmin: 0.01,
        ..air()
    };
    let day = course(&weak, &[held(540.0, 600.0, 256.0)], 480.0, 660.0);
    assert_eq!(day.not_reached, [0]);
    // 0.5 g a minute gets there in time only when it may begin early.
    let slow = Air {
        airborne_gpmin: 0.05,
        ..air()
    };
    let day = course(&slow, &[held(490.0, 600.0, 200.0)], 480.0, 660.0);
    assert_eq!(day.not_reached, [0]);
}

#[test]
fn haze_in_the_room_is_what_is_breathed() {
    let open = Held {
        tent_m3: None,
        ..held(540.0, 600.0, 8.0)
    };
    let day = course(&air(), &[open], 480.0, 660.0);
    let at = day.at(570.0);
    close(at.room_mgpm3, at.tent_mgpm3, 1e-12);
    assert!((8.0 * 0.92..=8.0 * 1.08 + 1e-9).contains(&at.room_mgpm3));
}

#[test]
fn pieces_join_and_levels_never_fall_below_nothing() {
    let setups: Vec<Held> = (0..40)
        .map(|n| {
            held(
                500.0 + 30.0 * f64::from(n),
                520.0 + 30.0 * f64::from(n),
                [0.0, 90.0, 256.0, 1126.0][usize::try_from(n).expect("small") % 4],
            )
        })
        .collect();
    let day = course(&air(), &setups, 480.0, 1800.0);
    for pair in day.pieces.windows(2) {
        close(pair[0].end_min, pair[1].start_min, 1e-12);
        close(pair[1].start.room_mgpm3, pair[0].end().room_mgpm3, 1e-9);
        assert!(pair[1].start.tent_mgpm3 >= 0.0 && pair[1].start.room_mgpm3 >= 0.0);
    }
}
