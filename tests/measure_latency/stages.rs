//! The table: what each stage of the way takes, by itself.
//!
//! | stage | whose | how it is measured |
//! | --- | --- | --- |
//! | message | the servers' | from the moment before it is sent to the stamp in the program's MIDI callback |
//! | next block | any program's | from that stamp to the callback for the block that holds the sound |
//! | one block | ours, as promised | by contract, the same for every note; a test holds it to the frame |
//! | to the recording | the bridge's and the servers' | a sound on a known frame, from the callback that asked for it |
//! | string | the piano's | how long the model, rendered offline, takes to be as loud as is taken for a sound |
//! | rest | ours | the whole less all of these |
//!
//! The bare program's blocks are asked for late as a rule, which makes its way from there shorter; ours counts from the
//! earliest, for no note may come too late. By how much they differ stands beside it.

use super::RATE;
use super::probe::Measured;

/// Prints what was measured at one size of blocks.
pub fn tell(frames: u32, bare: &Measured, ours: &Measured) {
    let block = f64::from(frames) * 1000.0 / RATE;
    println!("\nblocks of {frames} frames, {block:.2} ms    milliseconds: median, 99 of 100, worst");
    row("the least any program can do", &bare.whole, &heard(bare));
    row("  message", &bare.message, "");
    row("  to the next block", &bare.waited, "");
    row("  from there to the recording", &bare.device, "");
    row("this program", &ours.whole, &heard(ours));
    row("  message", &ours.message, "");
    row("  one block, as promised", &[block], "");
    let late = format!("blocks are asked for {:.2} later as a rule", of(&ours.late, 0.5));
    row("  from there to the recording", &ours.device, &late);
    row("  the string's own beginning", &ours.string, "");
    let device = of(&ours.device, 0.5);
    let rest: Vec<f64> = ours.between.iter().map(|between| between - block - device).collect();
    row("  rest, ours alone", &rest, "");
}

fn heard(measured: &Measured) -> String {
    match (measured.lost, measured.unheard) {
        (0, 0) => String::new(),
        (lost, unheard) => format!("{lost} messages lost, {unheard} not recorded"),
    }
}

fn row(name: &str, values: &[f64], remark: &str) {
    let [median, most, worst] = [0.5, 0.99, 1.0].map(|share| of(values, share));
    println!("  {name:<34} {median:7.2} {most:7.2} {worst:7.2}   {remark}");
}

fn of(values: &[f64], share: f64) -> f64 {
    let mut values = values.to_vec();
    values.sort_by(f64::total_cmp);
    let at = ((values.len() as f64 - 1.0) * share).round() as usize;
    values.get(at).copied().unwrap_or(f64::NAN)
}
