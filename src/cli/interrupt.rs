//! Signals that end the program: Ctrl-C, and what a system sends to end a process.
//!
//! A thread waits for them and ends the process itself, whatever the others compute: no study has to ask
//! whether it may go on. What is half made is told to [`OnDisk`] before it is made; the thread removes it.
//! Everything that changes what lies on the disk does so while it holds an [`Undisturbed`], for which the thread
//! waits.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use super::terminal;

/// What lies on the disk because of this run.
#[derive(Debug, Default)]
pub(super) struct OnDisk {
    /// Files and folders that are half made; they go with all that is in them.
    half_made: Vec<PathBuf>,
    /// Folders that were made to hold those, an outer one before what lies in it; they go where nobody
    /// else has put anything into them.
    holders: Vec<PathBuf>,
    /// What was made whole and stays.
    whole: Vec<PathBuf>,
}

static ON_DISK: Mutex<OnDisk> =
    Mutex::new(OnDisk { half_made: Vec::new(), holders: Vec::new(), whole: Vec::new() });

/// While one is held no signal ends the process. To be held for moments only: a write of a part of a
/// file, a swap of two folders.
pub(super) type Undisturbed = MutexGuard<'static, OnDisk>;

/// Waits until nobody else holds one.
pub(super) fn undisturbed() -> Undisturbed {
    // The lists are whole after each change, so a panic elsewhere spoils nothing.
    ON_DISK.lock().unwrap_or_else(PoisonError::into_inner)
}

impl OnDisk {
    /// Something that is half made from now on.
    pub(super) fn begins(&mut self, path: &Path) {
        self.half_made.push(path.to_owned());
    }

    /// A folder that was made to hold something half made.
    pub(super) fn holds(&mut self, folder: &Path) {
        self.holders.push(folder.to_owned());
    }

    /// What was half made is whole, under this name; it and what holds it stay.
    pub(super) fn is_whole(&mut self, path: &Path, name: &Path) {
        self.forget(path);
        self.holders.retain(|holder| !name.starts_with(holder));
        self.whole.push(name.to_owned());
    }

    /// It is not there any more, or others see to it.
    pub(super) fn forget(&mut self, path: &Path) {
        self.half_made.retain(|half| half != path);
    }

    /// Removes something half made.
    pub(super) fn remove(&mut self, path: &Path) {
        remove(path);
        self.forget(path);
        if self.half_made.is_empty() {
            self.remove_holders();
        }
    }

    fn remove_all(&mut self) {
        for path in self.half_made.drain(..) {
            remove(&path);
        }
        self.remove_holders();
    }

    fn remove_holders(&mut self) {
        for folder in self.holders.drain(..).rev() {
            // Refused where something lies in it.
            let _ = fs::remove_dir(folder);
        }
    }

    fn words(&self) -> String {
        match self.whole.as_slice() {
            [] => "interrupted; nothing was written".to_owned(),
            whole => {
                let names: Vec<String> = whole.iter().map(|path| path.display().to_string()).collect();
                format!("interrupted; {} was written whole before that", names.join(" and "))
            }
        }
    }
}

/// Removes a file or a folder with all that is in it; what cannot be removed stays.
pub(super) fn remove(path: &Path) {
    let _ = match path.symlink_metadata() {
        Ok(there) if there.is_dir() => fs::remove_dir_all(path),
        _ => fs::remove_file(path),
    };
}

/// Ends the process: 128 and the number of the signal, as shells count.
fn end(signal: u8) -> ! {
    let mut on_disk = undisturbed();
    on_disk.remove_all();
    terminal::message(&on_disk.words());
    // What is held is never given back, so that nobody makes anything any more.
    std::process::exit(i32::from(SIGNALLED) + i32::from(signal))
}

/// What is added to the number of a signal in the exit status.
const SIGNALLED: u8 = 128;

/// Starts to listen. Where the system has no such signals, or does not let us listen, they end the process
/// as usual.
#[cfg(unix)]
pub(super) fn watch() {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};

    let Ok(mut signals) = signal_hook::iterator::Signals::new([SIGINT, SIGTERM, SIGHUP]) else { return };
    let wait = move || {
        if let Some(signal) = signals.forever().next() {
            end(u8::try_from(signal).unwrap_or_default())
        }
    };
    let _ = std::thread::Builder::new().name("signals".into()).spawn(wait);
}

/// As above; there is Ctrl-C alone.
#[cfg(windows)]
pub(super) fn watch() {
    const INTERRUPT: u8 = 2;
    let _ = ctrlc::set_handler(|| end(INTERRUPT));
}

#[cfg(not(any(unix, windows)))]
pub(super) fn watch() {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_half_made_goes_and_what_is_whole_stays() {
        let folder = tempfile::tempdir().unwrap();
        let place = |name: &str| folder.path().join(name);
        let mut on_disk = OnDisk::default();
        for name in ["empty", "empty/inner", "shared"] {
            fs::create_dir(place(name)).unwrap();
            on_disk.holds(&place(name));
        }
        for name in ["empty/inner/half", "shared/half", "shared/whole"] {
            on_disk.begins(&place(name));
            fs::create_dir(place(name)).unwrap();
            fs::write(place(name).join("a"), "a").unwrap();
        }
        assert_eq!(on_disk.words(), "interrupted; nothing was written");
        on_disk.is_whole(&place("shared/whole"), &place("shared/whole"));
        on_disk.remove_all();
        assert!(!place("empty").exists() && !place("shared/half").exists());
        assert!(place("shared/whole/a").exists());
        assert!(on_disk.words().contains("whole was written whole"));
    }
}
