//! Where the program keeps what it remembers.

use std::path::{Path, PathBuf};

/// The folders of this player.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Places {
    settings: PathBuf,
    data: PathBuf,
}

impl Places {
    /// The folders the desktop keeps for this user; `OVERHAND_HOME`, where it is set, holds everything instead.
    /// `None` where the user has no home.
    pub fn of_this_user() -> Option<Places> {
        if let Some(home) = std::env::var_os("OVERHAND_HOME").filter(|h| !h.is_empty()) {
            return Some(Places::under(Path::new(&home)));
        }
        let folders = directories::ProjectDirs::from("", "", "overhand")?;
        Some(Places { settings: folders.config_dir().to_owned(), data: folders.data_dir().to_owned() })
    }

    /// Everything in one folder.
    pub fn under(home: &Path) -> Places {
        Places { settings: home.to_owned(), data: home.to_owned() }
    }

    /// The settings file.
    pub fn settings_file(&self) -> PathBuf {
        self.settings.join("settings.json")
    }

    /// The folder of copies of songs that are to stay as they are.
    pub fn songs(&self) -> PathBuf {
        self.data.join("songs")
    }

    /// The folder of sheets and of files for other programs, where the player cannot be asked for one.
    pub fn exports(&self) -> PathBuf {
        self.data.join("exports")
    }

    /// The folder of the history of practice.
    pub fn history(&self) -> PathBuf {
        self.data.join("history")
    }

    /// The folder of earlier versions of songs; in it, each song has one.
    pub fn versions(&self) -> PathBuf {
        self.data.join("versions")
    }

    /// The folder of all takes; in it, each song has one.
    pub fn takes(&self) -> PathBuf {
        self.data.join("takes")
    }

    /// The folder of the takes of a song.
    pub fn takes_folder(&self, song: &str) -> PathBuf {
        self.takes().join(file_name(song))
    }
}

/// A title as a file name: letters and digits stay, all else becomes one hyphen.
pub(super) fn file_name(title: &str) -> String {
    let words = title.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
    let name = words.collect::<Vec<_>>().join("-").to_lowercase();
    if name.is_empty() { "song".to_owned() } else { name.chars().take(80).collect() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_cannot_lead_out_of_the_folder() {
        let places = Places::under(Path::new("home"));
        assert_eq!(places.takes_folder("../../Weir & Lock"), Path::new("home/takes/weir-lock"));
        assert_eq!(places.takes_folder("???"), Path::new("home/takes/song"));
    }
}
