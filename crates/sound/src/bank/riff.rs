//! The outer form of a bank: chunks within chunks, none longer than what is there.
//!
//! After the SoundFont technical specification 2.04, section 3 (RIFF structure): `RIFF sfbk` holds three lists, `INFO`,
//! `sdta` and `pdta`; each holds chunks of a four-letter name, a length of 32 bits, and that many bytes.

use super::BankError;

const LISTS: [&[u8; 4]; 3] = [b"INFO", b"sdta", b"pdta"];

/// Whether every length in the file is true.
pub(super) fn check(bytes: &[u8]) -> Result<(), BankError> {
    let (name, body, _) = chunk(bytes).ok_or(BankError::NotABank)?;
    let (form, mut rest) = body.split_at_checked(4).ok_or(BankError::NotABank)?;
    if name != b"RIFF" || form != b"sfbk" {
        return Err(BankError::NotABank);
    }
    for expected in LISTS {
        let (name, list, after) = chunk(rest).ok_or_else(cut_off)?;
        let (kind, chunks) = list.split_at_checked(4).ok_or_else(cut_off)?;
        if name != b"LIST" || kind != expected {
            return Err(BankError::Damaged("its three parts are not where they belong".to_owned()));
        }
        check_chunks(chunks)?;
        rest = after;
    }
    Ok(())
}

fn check_chunks(mut rest: &[u8]) -> Result<(), BankError> {
    while !rest.is_empty() {
        (_, _, rest) = chunk(rest).ok_or_else(cut_off)?;
    }
    Ok(())
}

/// The name and the bytes of the first chunk, and what comes after it; nothing where it is longer than what is there.
fn chunk(bytes: &[u8]) -> Option<(&[u8], &[u8], &[u8])> {
    let (name, rest) = bytes.split_at_checked(4)?;
    let (length, rest) = rest.split_at_checked(4)?;
    let length = u32::from_le_bytes(length.try_into().ok()?);
    // Lengths are signed for the reader behind this.
    let length = usize::try_from(i32::try_from(length).ok()?).ok()?;
    let (body, after) = rest.split_at_checked(length)?;
    Some((name, body, after))
}

fn cut_off() -> BankError {
    BankError::Damaged("it is cut off, or a length in it is wrong".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(name: &[u8], body: &[u8]) -> Vec<u8> {
        [name, &(body.len() as u32).to_le_bytes(), body].concat()
    }

    fn bank() -> Vec<u8> {
        let lists = LISTS.map(|kind| named(b"LIST", &[&kind[..], &named(b"ifil", &[2, 0, 4, 0])].concat()));
        named(b"RIFF", &[&b"sfbk"[..], &lists.concat()].concat())
    }

    #[test]
    fn true_lengths_pass_and_every_cut_is_noticed() {
        let whole = bank();
        assert_eq!(check(&whole), Ok(()));
        for end in 0..whole.len() {
            assert!(check(&whole[..end]).is_err(), "cut at {end}");
        }
    }

    #[test]
    fn a_length_beyond_the_end_or_below_zero_is_noticed() {
        for length in [1_000u32, 0x7fff_ffff, 0x8000_0000, u32::MAX] {
            let mut broken = bank();
            let at = broken.windows(4).position(|name| name == b"ifil").unwrap() + 4;
            broken[at..at + 4].copy_from_slice(&length.to_le_bytes());
            assert!(matches!(check(&broken), Err(BankError::Damaged(_))), "{length}");
        }
    }
}
