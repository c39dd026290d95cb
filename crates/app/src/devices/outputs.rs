//! The sound outputs there are: those that a musician would know, by names that can be remembered.

use rodio::cpal::traits::{DeviceTrait, HostTrait};
use rodio::cpal::{self, Device};

use super::quiet::quiet_driver;
use super::servers;

/// Which sound output to use.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum SoundChoice {
    /// The one that the system sends everything to.
    #[default]
    System,
    /// This one, by its name in [`Status::sound_outputs`](super::Status::sound_outputs), whenever it is there; the system's
    /// own stands in for it meanwhile.
    Named(String),
}

/// Frames a second and channels of the system's own output; nothing where there is none.
pub(super) fn system_output() -> Option<(u32, u16)> {
    quiet_driver();
    let config = cpal::default_host().default_output_device()?.default_output_config().ok()?;
    Some((config.sample_rate(), config.channels()))
}

/// The names of the outputs there are. The system's own has no name: it is always there to be chosen.
pub(super) fn output_names() -> Vec<String> {
    named_outputs().into_iter().map(|(name, _)| name).collect()
}

/// The output of a name, if it is there.
pub(super) fn output_named(name: &str) -> Option<Device> {
    named_outputs().into_iter().find(|(other, _)| other == name).map(|(_, device)| device)
}

fn named_outputs() -> Vec<(String, Device)> {
    quiet_driver();
    let Ok(devices) = cpal::default_host().output_devices() else { return Vec::new() };
    let (entries, devices): (Vec<Entry>, Vec<Device>) = devices.filter_map(entry).unzip();
    let names = known_names(&entries, servers::is_reachable);
    names.into_iter().zip(devices).filter_map(|(name, device)| Some((name?, device))).collect()
}

/// An output as the system lists it.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Entry {
    /// What the system opens it by, such as `plughw:CARD=Box,DEV=0`; only on Linux does it tell anything.
    id: String,
    /// Its name for people, such as `Stage Box, USB Audio`.
    name: String,
}

fn entry(device: Device) -> Option<(Entry, Device)> {
    let id = device.id().ok()?.id().to_owned();
    let name = device.description().ok()?.name().to_owned();
    Some((Entry { id, name }, device))
}

/// The name of each entry under which a person knows it; nothing for those that are no output of their own.
fn known_names(entries: &[Entry], reachable: impl Fn(&str) -> bool) -> Vec<Option<String>> {
    let kinds: Vec<Option<Kind>> = entries.iter().map(|entry| kind(&entry.id)).collect();
    let known = |at: usize| match kinds[at]? {
        Kind::Plain => Some(entries[at].name.clone()),
        Kind::Server => reachable(&entries[at].id).then(|| entries[at].name.clone()),
        Kind::Card { id, counted } => {
            let same = |other: &usize| *other != at && entries[*other].name == entries[at].name;
            let others = (0..entries.len()).filter(same).filter_map(|other| match kinds[other] {
                Some(Kind::Card { id, counted }) => Some((id, counted)),
                _ => None,
            });
            // The same card is listed by its name and once more by its number, which changes.
            let others: Vec<(&str, bool)> = others.collect();
            if counted && others.iter().any(|(_, counted)| !counted) {
                return None;
            }
            let twins = others.iter().any(|(_, other_counted)| *other_counted == counted);
            Some(if twins { format!("{} ({id})", entries[at].name) } else { entries[at].name.clone() })
        }
    };
    (0..entries.len()).map(known).collect()
}

/// What an entry is, by what the system opens it by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind<'a> {
    /// An output of a sound card, and whether the card is told by its number.
    Card { id: &'a str, counted: bool },
    /// A program that takes sound from others and may not be running.
    Server,
    /// Anything else that is an output of its own: all there are outside Linux, and what the user set up by hand.
    Plain,
}

/// Nothing for the many ways that ALSA knows to one and the same card, for its converters, and for the system's own.
fn kind(id: &str) -> Option<Kind<'_>> {
    if !cfg!(target_os = "linux") {
        return Some(Kind::Plain);
    }
    match id.split_once(':') {
        Some(("plughw", card)) => {
            let id = card.split(',').next().unwrap_or(card).trim_start_matches("CARD=");
            Some(Kind::Card { id, counted: id.bytes().all(|byte| byte.is_ascii_digit()) })
        }
        Some(_) => None,
        None if servers::NAMES.contains(&id) => Some(Kind::Server),
        None if CONVERTERS.contains(&id) => None,
        None => Some(Kind::Plain),
    }
}

/// Entries that ALSA's own files and its usual plugins bring along (from the `alsa.conf.d` folder of Debian's packages
/// `libasound2-data` and `libasound2-plugins`), and the system's own output under its two names.
const CONVERTERS: [&str; 13] = [
    "default",
    "sysdefault",
    "null",
    "oss",
    "lavrate",
    "samplerate",
    "speexrate",
    "speex",
    "upmix",
    "vdownmix",
    "a52encode",
    "arcam_av",
    "usbstream",
];

#[cfg(test)]
mod tests {
    use super::*;

    fn names(entries: &[(&str, &str)], reachable: &[&str]) -> Vec<String> {
        let entries: Vec<Entry> =
            entries.iter().map(|(id, name)| Entry { id: (*id).into(), name: (*name).into() }).collect();
        let names = known_names(&entries, |id| reachable.contains(&id));
        names.into_iter().flatten().collect()
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn a_card_is_listed_once_and_by_its_name() {
        // As ALSA lists a laptop with one USB box: every way to a card is an entry of its own.
        let entries = [
            ("null", "Discard all samples (playback) or generate zero samples (capture)"),
            ("lavrate", "Rate Converter Plugin Using Libav/FFmpeg Library"),
            ("jack", "JACK Audio Connection Kit"),
            ("pulse", "PulseAudio Sound Server"),
            ("upmix", "Plugin for channel upmix (4,6,8)"),
            ("default", "Default Audio Device"),
            ("hw:CARD=PCH,DEV=0", "HDA Intel PCH, ALC257 Analog"),
            ("plughw:CARD=PCH,DEV=0", "HDA Intel PCH, ALC257 Analog"),
            ("sysdefault:CARD=PCH", "HDA Intel PCH, ALC257 Analog"),
            ("front:CARD=PCH,DEV=0", "HDA Intel PCH, ALC257 Analog"),
            ("surround51:CARD=PCH,DEV=0", "HDA Intel PCH, ALC257 Analog"),
            ("plughw:CARD=Box,DEV=0", "Stage Box, USB Audio"),
            ("dmix:CARD=Box,DEV=0", "Stage Box, USB Audio"),
            ("plughw:CARD=0,DEV=0", "HDA Intel PCH, ALC257 Analog"),
            ("plughw:CARD=1,DEV=0", "Stage Box, USB Audio"),
        ];
        let cards = ["HDA Intel PCH, ALC257 Analog", "Stage Box, USB Audio"];
        assert_eq!(names(&entries, &[]), cards);
        assert_eq!(names(&entries, &["pulse"]), ["PulseAudio Sound Server", cards[0], cards[1]]);
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn two_alike_are_told_apart_and_what_the_user_set_up_is_there() {
        let entries = [
            ("plughw:CARD=Box,DEV=0", "Stage Box, USB Audio"),
            ("plughw:CARD=Box_1,DEV=0", "Stage Box, USB Audio"),
            ("rehearsal", "The room downstairs"),
            ("plughw:CARD=2,DEV=0", "An old card"),
        ];
        let expected = [
            "Stage Box, USB Audio (Box)",
            "Stage Box, USB Audio (Box_1)",
            "The room downstairs",
            "An old card",
        ];
        assert_eq!(names(&entries, &[]), expected);
    }
}
