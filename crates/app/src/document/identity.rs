//! What history knows a song by, whatever its file and title are called.

use std::hash::{BuildHasher, RandomState};

/// A new one: 13 letters and digits that no other song has, by chance and time.
pub fn new_identity() -> String {
    const DIGITS: &[u8; 32] = b"0123456789abcdefghjkmnpqrstvwxyz";
    // The seed of a hasher is random; the time tells apart what one process makes.
    let number = RandomState::new().hash_one(std::time::SystemTime::now());
    (0..13).map(|at| char::from(DIGITS[(number >> (at * 5)) as usize % 32])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_are_alike_and_each_is_a_plain_word() {
        let all: std::collections::HashSet<String> = (0..1_000).map(|_| new_identity()).collect();
        assert_eq!(all.len(), 1_000);
        assert!(all.iter().all(|id| id.len() == 13 && id.bytes().all(|b| b.is_ascii_alphanumeric())));
    }
}
