//! Contrast of text and marks, also as people with colour-vision deficiencies see them.
//!
//! The ratio: Web Content Accessibility Guidelines 2.2, "contrast ratio" and "relative luminance"; the limits: success
//! criteria 1.4.3 (text, 4.5 : 1) and 1.4.11 (marks, 3 : 1).
//!
//! The deficiencies, full strength, on linear RGB: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A
//! Physiologically-based Model for Simulation of Color Vision Deficiency", IEEE Transactions on Visualization and
//! Computer Graphics 15 (2009), table of matrices for severity 1.0.

use egui::Color32;
use theory::Hand;
use ui::{Palette, Theme, key_mark};

type Matrix = [[f64; 3]; 3];

const NORMAL: Matrix = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
const PROTANOPIA: Matrix =
    [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]];
const DEUTERANOPIA: Matrix =
    [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]];
const TRITANOPIA: Matrix =
    [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]];
const SIGHTS: [(&str, Matrix); 4] = [
    ("normal sight", NORMAL),
    ("protanopia", PROTANOPIA),
    ("deuteranopia", DEUTERANOPIA),
    ("tritanopia", TRITANOPIA),
];

fn linear(channel: u8) -> f64 {
    let c = f64::from(channel) / 255.0;
    if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
}

fn seen(color: Color32, sight: &Matrix) -> [f64; 3] {
    let rgb = [linear(color.r()), linear(color.g()), linear(color.b())];
    sight.map(|row| (0..3).map(|i| row[i] * rgb[i]).sum::<f64>().clamp(0.0, 1.0))
}

fn luminance(color: Color32, sight: &Matrix) -> f64 {
    let [r, g, b] = seen(color, sight);
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

fn contrast(a: Color32, b: Color32, sight: &Matrix) -> f64 {
    let (a, b) = (luminance(a, sight), luminance(b, sight));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

fn grounds(p: &Palette) -> Vec<(&'static str, Color32)> {
    vec![
        ("ground", p.ground),
        ("page", p.page),
        ("here", p.here),
        ("went 0", p.went[0]),
        ("went 1", p.went[1]),
        ("went 2", p.went[2]),
        ("in time", p.in_time),
        ("right tint", p.right_tint),
        ("left tint", p.left_tint),
    ]
}

fn check(least: f64, what: &str, over: (&str, Color32), under: (&str, Color32)) {
    for (name, sight) in &SIGHTS {
        let ratio = contrast(over.1, under.1, sight);
        assert!(ratio >= least, "{what}, {name}: {} on {} has {ratio:.2} : 1, not {least}", over.0, under.0);
    }
}

#[test]
fn the_formula_gives_the_published_extremes() {
    // WCAG 2.2: from 1 : 1 to 21 : 1.
    assert!((contrast(Color32::WHITE, Color32::BLACK, &NORMAL) - 21.0).abs() < 1e-9);
    assert!((contrast(Color32::RED, Color32::RED, &NORMAL) - 1.0).abs() < 1e-9);
    // 777777 on white is the well-known near miss of 4.5 : 1 (4.48).
    let ratio = contrast(Color32::from_gray(0x77), Color32::WHITE, &NORMAL);
    assert!((ratio - 4.48).abs() < 0.005, "{ratio}");
}

#[test]
fn text_keeps_four_and_a_half_to_one() {
    for theme in [Theme::Day, Theme::Night] {
        let p = theme.palette();
        for ground in grounds(p) {
            for text in [("ink", p.ink), ("quiet", p.quiet)] {
                check(4.5, &format!("{theme:?}"), text, ground);
            }
        }
        // Hands' colours are text on paper, on the place one is at, on tints of how it went, and on their own tint.
        for hand in [("right", p.right, p.right_tint), ("left", p.left, p.left_tint)] {
            let mut under = vec![("ground", p.ground), ("page", p.page), ("here", p.here), ("tint", hand.2)];
            under.extend(p.went.map(|went| ("went", went)));
            for ground in under {
                check(4.5, &format!("{theme:?}"), (hand.0, hand.1), ground);
            }
        }
        let keys = theme.keys();
        check(4.5, "octave names", ("text", keys.text), ("white key", keys.white));
    }
}

#[test]
fn marks_keep_three_to_one() {
    for theme in [Theme::Day, Theme::Night] {
        let (p, keys) = (theme.palette(), theme.keys());
        for ground in [("ground", p.ground), ("page", p.page), ("in time", p.in_time)] {
            for mark in [("right", p.right), ("left", p.left), ("line", p.line)] {
                check(3.0, &format!("{theme:?}"), mark, ground);
            }
        }
        for hand in Hand::BOTH {
            for (black, under) in [(false, keys.white), (true, keys.black)] {
                let (fill, text) = key_mark(hand, black);
                check(3.0, "mark on a key", (hand.name(), fill), ("key", under));
                check(4.5, "finger on a mark", ("finger", text), ("mark", fill));
            }
        }
        check(3.0, "cross", ("ink", keys.black), ("white key", keys.white));
        check(3.0, "edges of keys", ("edge", keys.edge), ("white key", keys.white));
    }
}
