//! A SoundFont 2 bank of one sine wave, written here after the SoundFont technical specification 2.04 (section 7, the tables
//! of the pdta list), so that tests need no file.

/// Frames of the sample; it loops over its second half.
const LENGTH: usize = 2_000;
/// 48 frames a period: 1000 Hz at 48 kHz.
const PERIOD: f64 = 48.0;

pub fn small_bank() -> Vec<u8> {
    let samples: Vec<u8> = (0..LENGTH + 46)
        .map(|at| {
            if at < LENGTH {
                (20_000.0 * (std::f64::consts::TAU * at as f64 / PERIOD).sin()) as i16
            } else {
                0
            }
        })
        .flat_map(i16::to_le_bytes)
        .collect();
    let info =
        [chunk(b"ifil", &words(&[2, 4])), chunk(b"isng", b"EMU8000\0"), chunk(b"INAM", b"Small bank\0\0")];
    let tables = [
        chunk(b"phdr", &[preset("Sine", 0), preset("EOP", 1)].concat()),
        chunk(b"pbag", &words(&[0, 0, 1, 0])),
        chunk(b"pmod", &[0; 10]),
        // Generator 41: the instrument.
        chunk(b"pgen", &words(&[41, 0, 0, 0])),
        chunk(b"inst", &[instrument("Sine", 0), instrument("EOI", 1)].concat()),
        chunk(b"ibag", &words(&[0, 0, 2, 0])),
        chunk(b"imod", &[0; 10]),
        // Generator 54: loop while it sounds; 53: the sample.
        chunk(b"igen", &words(&[54, 1, 53, 0, 0, 0])),
        chunk(b"shdr", &[sample(), [0; 46]].concat()),
    ];
    let lists = [
        list(b"INFO", &info.concat()),
        list(b"sdta", &chunk(b"smpl", &samples)),
        list(b"pdta", &tables.concat()),
    ];
    chunk(b"RIFF", &[&b"sfbk"[..], &lists.concat()].concat())
}

fn chunk(name: &[u8; 4], body: &[u8]) -> Vec<u8> {
    [&name[..], &(body.len() as u32).to_le_bytes(), body].concat()
}

fn list(kind: &[u8; 4], chunks: &[u8]) -> Vec<u8> {
    chunk(b"LIST", &[&kind[..], chunks].concat())
}

fn words(words: &[u16]) -> Vec<u8> {
    words.iter().flat_map(|word| word.to_le_bytes()).collect()
}

fn name(text: &str) -> Vec<u8> {
    let mut name = text.as_bytes().to_vec();
    name.resize(20, 0);
    name
}

/// Name, program, bank, first bag, three unused numbers.
fn preset(text: &str, bag: u16) -> Vec<u8> {
    [name(text), words(&[0, 0, bag]), vec![0; 12]].concat()
}

fn instrument(text: &str, bag: u16) -> Vec<u8> {
    [name(text), words(&[bag])].concat()
}

/// Name, start, end, loop, rate, original pitch (B5, 83, is near 1000 Hz), correction, link, kind (mono).
fn sample() -> [u8; 46] {
    let numbers = [0, LENGTH as u32, 960, 1_920, 48_000].map(u32::to_le_bytes).concat();
    let bytes = [name("Sine"), numbers, vec![83, 0], words(&[0, 1])].concat();
    bytes.try_into().unwrap()
}
