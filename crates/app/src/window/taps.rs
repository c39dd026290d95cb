//! What the taps to a click and to a light said so far.

use crate::session::Tapping;
use practice::latency::{Calibration, TapRow};
use ui::{TapTo, TapView};

/// The two rows. They change in [`Taps::tapped`] and [`Taps::begin`] alone.
#[derive(Debug, Default)]
pub struct Taps {
    click: Option<TapRow>,
    shown: TapView,
}

impl Taps {
    /// A row begins; what it said before no longer counts.
    pub fn begin(&mut self, to: TapTo) {
        if to == TapTo::Click {
            self.click = None;
            self.shown = TapView::default();
        }
        (self.shown.told, self.shown.suggested_ms) = (None, None);
    }

    /// A row was tapped to its end.
    pub fn tapped(&mut self, row: &Tapping) {
        match (row.to(), row.measure()) {
            (TapTo::Click, Ok(measured)) => {
                self.click = Some(measured);
                self.shown.click = Some(words(&measured));
                self.shown.has_click = true;
            }
            (TapTo::Click, Err(trouble)) => self.shown.click = Some(ui::sentence(&trouble.to_string())),
            (TapTo::Light, Ok(light)) => {
                if let Some(click) = self.click {
                    let both = Calibration { click, light };
                    self.shown.told = Some(both.text());
                    self.shown.suggested_ms = both.suggested_ms();
                }
            }
            (TapTo::Light, Err(trouble)) => self.shown.told = Some(ui::sentence(&trouble.to_string())),
        }
    }

    /// What the window shows, with the row under way and what the device says of itself.
    pub fn shown(&self, tapping: Option<ui::Tapping>, device_says_ms: Option<f64>) -> TapView {
        TapView { tapping, device_says_ms, ..self.shown.clone() }
    }
}

/// `20 taps counted: 31 ms before the click, give or take 6.`
fn words(row: &TapRow) -> String {
    let way = if row.median_ms < 0.0 { "before" } else { "after" };
    format!(
        "{} taps counted: {:.0} ms {way} the click, give or take {:.0}.",
        row.counted,
        row.median_ms.abs(),
        row.uncertainty_ms
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use practice::Stamp;

    fn row(to: TapTo, late_ms: f64) -> Tapping {
        let mut row = Tapping::start(to, Stamp::from_ms(0.0));
        (0..24).for_each(|n| row.tap(Stamp::from_ms(900.0 + 700.0 * f64::from(n) + late_ms)));
        row
    }

    #[test]
    fn only_both_rows_together_suggest_a_delay_and_the_players_lead_is_not_in_it() {
        let mut taps = Taps::default();
        taps.tapped(&row(TapTo::Click, 20.0));
        assert_eq!(taps.shown(None, None).suggested_ms, None);
        assert!(taps.shown(None, None).has_click);
        taps.tapped(&row(TapTo::Light, -40.0));
        // 60 ms apart: the lead of 40 before the light is the player's as much as the screen's.
        assert_eq!(taps.shown(None, None).suggested_ms, Some(60.0));
        taps.begin(TapTo::Click);
        assert_eq!(taps.shown(None, None), TapView::default());
    }

    #[test]
    fn too_few_taps_are_said() {
        let mut taps = Taps::default();
        taps.tapped(&Tapping::start(TapTo::Click, Stamp::from_ms(0.0)));
        let shown = taps.shown(None, None);
        assert!(shown.click.unwrap().starts_with("Only 0 taps could be counted") && !shown.has_click);
    }
}
