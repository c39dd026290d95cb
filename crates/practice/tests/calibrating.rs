//! Taps of a made-up player through made-up devices.

use crate::learner::Dice;
use practice::Stamp;
use practice::latency::*;

fn beats() -> Vec<Stamp> {
    (0..34).map(|n| Stamp::from_ms(1000.0 + 600.0 * f64::from(n))).collect()
}

/// Taps that scatter about normally by the given width, always the same ones of a seed.
fn taps(delay_ms: f64, width: f64, seed: u64) -> Vec<Stamp> {
    let mut dice = Dice::new(seed);
    beats().iter().map(|b| b.plus_ms(delay_ms + width * dice.normal())).collect()
}

#[test]
fn a_row_is_measured_as_well_as_it_says() {
    for (delay, width) in [(-35.0, 12.0), (48.0, 20.0), (140.0, 8.0)] {
        let within = (0..40)
            .filter(|&seed| {
                let row = measure_taps(&beats(), &taps(delay, width, seed * 131)).unwrap();
                assert_eq!((row.counted + row.slips, row.missed), (30, 0), "four beats of lead-in");
                assert!((0.4..1.8).contains(&(row.scatter_ms / width)), "{row:?}");
                (row.median_ms - delay).abs() <= row.uncertainty_ms
            })
            .count();
        // Nineteen in twenty are 38; chance and the small number of taps may take a few.
        assert!(within >= 33, "{within} of 40 at {delay} ms");
    }
}

#[test]
fn slips_are_told_and_do_not_move_the_result() {
    let mut row = taps(20.0, 0.0, 0);
    let clean = measure_taps(&beats(), &row).unwrap();
    row[10] = row[10].plus_ms(190.0);
    row[20] = row[20].plus_ms(-200.0);
    row.push(beats()[15].plus_ms(120.0));
    row.remove(25);
    let slipped = measure_taps(&beats(), &row).unwrap();
    assert_eq!((slipped.median_ms, slipped.slips, slipped.missed), (clean.median_ms, 3, 1));
}

#[test]
fn taps_that_scatter_are_no_slips_and_one_far_from_them_is() {
    let mut row = taps(20.0, 8.0, 500);
    let plain = measure_taps(&beats(), &row).unwrap();
    assert_eq!(plain.slips, 0, "{plain:?}");
    row[12] = beats()[12].plus_ms(20.0 + 80.0);
    let slipped = measure_taps(&beats(), &row).unwrap();
    assert_eq!(slipped.slips, 1, "ten deviations off: {slipped:?}");
}

#[test]
fn too_few_or_too_scattered_taps_are_refused_with_what_to_do() {
    let few = measure_taps(&beats(), &taps(20.0, 5.0, 0)[..15]);
    assert_eq!(few, Err(TapTrouble::TooFew(11)));
    let wild: Vec<Stamp> = (0..34).map(|n| beats()[n].plus_ms(((n * 97) % 400) as f64 - 200.0)).collect();
    let wild = measure_taps(&beats(), &wild);
    assert!(matches!(wild, Err(TapTrouble::TooScattered(ms)) if ms > 60.0), "{wild:?}");
    assert!(wild.unwrap_err().to_string().contains("slower beat"));
    assert_eq!(measure_taps(&[], &[]), Err(TapTrouble::NoBeat));
}

// Aschersleben 2002: taps fall some tens of ms before a click.
#[test]
fn the_player_s_own_lead_is_not_hidden_in_the_latency() {
    let (sound, screen, keys) = (70.0, 12.0, 4.0);
    for lead in [0.0, 25.0, 50.0] {
        let click = measure_taps(&beats(), &taps(sound + keys - lead, 10.0, 3)).unwrap();
        let light = measure_taps(&beats(), &taps(screen + keys - lead, 10.0, 900)).unwrap();
        let calibration = Calibration { click, light };
        let suggested = calibration.suggested_ms().unwrap();
        assert!(
            (suggested - (sound - screen)).abs() <= calibration.uncertainty_ms(),
            "{suggested}, lead {lead}"
        );
    }
    let alike = measure_taps(&beats(), &taps(-30.0, 10.0, 3)).unwrap();
    let none = Calibration { click: alike, light: alike };
    assert_eq!(none.suggested_ms(), None);
    assert!(
        none.text().contains("30 ms before") && none.text().contains("is not taken off"),
        "{}",
        none.text()
    );
}
