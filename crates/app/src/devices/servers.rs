//! Whether a sound server runs, by the socket it would answer at: to ask through its library would start it, or print.

use std::env;
use std::path::{Path, PathBuf};

/// The servers that the system's sound library knows, by the names it opens them by.
pub(super) const NAMES: [&str; 3] = ["jack", "pulse", "pipewire"];

/// Whether one of [`NAMES`] can be reached.
pub(super) fn is_reachable(name: &str) -> bool {
    match name {
        "jack" => jack_is_reachable(),
        "pulse" => match env::var("PULSE_SERVER") {
            Ok(server) => server.strip_prefix("unix:").is_none_or(|socket| Path::new(socket).exists()),
            Err(_) => in_run_folder("pulse/native"),
        },
        "pipewire" => env::var_os("PIPEWIRE_REMOTE").is_some() || in_run_folder("pipewire-0"),
        _ => false,
    }
}

/// Whether a JACK server runs, or something that answers in its place. Where its sockets are not known it is left to its
/// library to find out.
pub(super) fn jack_is_reachable() -> bool {
    if !cfg!(target_os = "linux") {
        return true;
    }
    let server = env::var("JACK_DEFAULT_SERVER").unwrap_or_else(|_| "default".to_owned());
    has_socket(Path::new("/dev/shm"), &server) || is_reachable("pipewire")
}

/// JACK 2 listens at `jack_SERVER_USER_NUMBER` in shared memory.
fn has_socket(folder: &Path, server: &str) -> bool {
    let Ok(entries) = folder.read_dir() else { return false };
    let beginning = format!("jack_{server}_");
    let names = entries.flatten().map(|entry| entry.file_name());
    names.into_iter().any(|name| name.to_str().is_some_and(|name| name.starts_with(&beginning)))
}

fn in_run_folder(socket: &str) -> bool {
    let folder = env::var_os("XDG_RUNTIME_DIR").map(PathBuf::from);
    folder.is_some_and(|folder| folder.join(socket).exists())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_server_is_known_by_its_socket() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("jack_evening_1000_0"), b"").unwrap();
        std::fs::write(folder.path().join("jack-shm-registry"), b"").unwrap();
        assert!(has_socket(folder.path(), "evening"));
        assert!(!has_socket(folder.path(), "default"));
        assert!(!has_socket(&folder.path().join("nowhere"), "evening"));
    }
}
