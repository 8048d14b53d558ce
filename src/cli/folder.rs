//! Output folders, written all or nothing: everything goes into a sibling under a temporary name,
//! which then takes the place of the old folder.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{BufRead as _, BufReader, BufWriter, ErrorKind, Read as _, Seek as _, Write as _};
use std::path::{Path, PathBuf};

use super::interrupt;
use super::outcome::Failure;
use super::terminal;
use crate::report::OutputFile;

/// The file in every folder that Backhold wrote; it lists what belongs to it.
const MARK: &str = ".backhold";

/// What the mark says until the folder is whole.
const BEING_WRITTEN: &str = "# Half written by backhold; it goes if the run that writes it does not end.\n";

/// Between the name of a folder and the number of the process in the name of its temporary one.
const TEMPORARY: &str = ".backhold-";

/// Bytes that are written without a signal between them.
const PART_BYTES: usize = 1 << 20;

/// A folder in the making. Dropped before [`Folder::finish`], it leaves nothing behind.
#[derive(Debug)]
pub(super) struct Folder {
    target: PathBuf,
    temporary: PathBuf,
    overwrite: bool,
    /// The mark, locked as long as this run lives: the system lets go of it when the process ends, however it does.
    mark: Option<File>,
    /// Each file with the check sum of its content.
    written: BTreeMap<String, u64>,
    finished: bool,
}

impl Folder {
    /// Begins a folder that will stand at `target`.
    ///
    /// # Errors
    /// When `target` is something that Backhold did not write and `overwrite` is not set, or when
    /// the temporary folder cannot be made.
    pub(super) fn begin(target: &Path, overwrite: bool) -> Result<Self, Failure> {
        let name = target.file_name().ok_or_else(|| {
            Failure::Usage(format!(
                "--out {}: this is no name for a folder; give a folder that may be made or replaced, such as out/",
                target.display()
            ))
        })?;
        let parent = match target.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent.to_path_buf(),
            _ => PathBuf::from("."),
        };
        refuse_root_of_work(target)?;
        refuse_foreign(target, overwrite)?;
        let process = std::process::id();
        let temporary = parent.join(format!(".{}{TEMPORARY}{process}", name.to_string_lossy()));
        let mut folder = Self {
            target: target.to_path_buf(),
            temporary,
            overwrite,
            mark: None,
            written: BTreeMap::new(),
            finished: true, // until there is something
        };
        let failed = |path: &Path, e| Failure::machine("cannot make the folder", path, e);
        // Let go before the folder, which asks for it when it is dropped.
        let mut on_disk = interrupt::undisturbed();
        let absent = parent.ancestors().take_while(|p| !p.as_os_str().is_empty() && !p.exists());
        for path in absent.collect::<Vec<_>>().into_iter().rev() {
            match fs::create_dir(path) {
                Ok(()) => on_disk.holds(path),
                // Somebody else was quicker.
                Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
                Err(error) => return Err(failed(path, error)),
            }
        }
        left_behind(&parent);
        fs::create_dir(&folder.temporary).map_err(|e| failed(&folder.temporary, e))?;
        on_disk.begins(&folder.temporary);
        folder.finished = false;
        drop(on_disk);
        let mark = folder.temporary.join(MARK);
        let mut file = File::create(&mark).map_err(|e| Failure::machine("cannot write", &mark, e))?;
        // Where a file system has no locks nobody takes the folder for one that was left behind.
        let _ = file.lock();
        file.write_all(BEING_WRITTEN.as_bytes()).map_err(|e| Failure::machine("cannot write", &mark, e))?;
        folder.mark = Some(file);
        Ok(folder)
    }

    /// Writes one file; `name` may have folders in it, divided by `/`.
    ///
    /// # Errors
    /// When the machine says no.
    pub(super) fn write(&mut self, name: &str, content: &[u8]) -> Result<(), Failure> {
        let path = self.temporary.join(name);
        let failed = |e| Failure::machine("cannot write", &path, e);
        let on_disk = interrupt::undisturbed();
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent).map_err(|e| Failure::machine("cannot make the folder", parent, e))?;
        }
        let mut file = File::create(&path).map_err(failed)?;
        drop(on_disk);
        for part in content.chunks(PART_BYTES) {
            let _on_disk = interrupt::undisturbed();
            file.write_all(part).map_err(failed)?;
        }
        self.written.insert(name.to_owned(), check_sum(content));
        Ok(())
    }

    /// Begins a file that grows as it is found; [`Folder::close`] ends it.
    ///
    /// # Errors
    /// When the machine says no.
    pub(super) fn open(&mut self, name: &str) -> Result<Growing, Failure> {
        let path = self.temporary.join(name);
        let _on_disk = interrupt::undisturbed();
        let file = File::create(&path).map_err(|e| Failure::machine("cannot write", &path, e))?;
        Ok(Growing { file: BufWriter::with_capacity(PART_BYTES, file), sum: NOTHING })
    }

    /// Ends a file that grew.
    ///
    /// # Errors
    /// When the machine says no.
    pub(super) fn close(&mut self, name: &str, mut growing: Growing) -> Result<(), Failure> {
        growing.flush().map_err(|e| Failure::machine("cannot write", &self.temporary.join(name), e))?;
        self.written.insert(name.to_owned(), growing.sum);
        Ok(())
    }

    /// Writes these files and puts the folder in its place; returns what [`Folder::finish`] does.
    ///
    /// # Errors
    /// As [`Folder::write`] and [`Folder::finish`].
    pub(super) fn fill(mut self, files: &[OutputFile]) -> Result<Option<PathBuf>, Failure> {
        for file in files {
            self.write(&file.name, &file.content)?;
        }
        self.finish()
    }

    /// Puts the folder in its place. A folder that Backhold did not write, or that holds files of
    /// others, is set aside under a new name, never deleted; its name is returned.
    ///
    /// # Errors
    /// When the machine says no; the old folder is then still there.
    pub(super) fn finish(mut self) -> Result<Option<PathBuf>, Failure> {
        let mut list = String::from(
            "# Files that backhold wrote here, with check sums; it replaces this folder only while they are unchanged and alone.\n",
        );
        for (name, sum) in &self.written {
            list.push_str(&format!("{sum:016x} {name}\n"));
        }
        self.write_mark(&list)?;
        let mut set_aside = None;
        if fs::symlink_metadata(&self.target).is_ok() {
            // Asked again: somebody may have put a file there meanwhile.
            refuse_foreign(&self.target, self.overwrite)?;
            let keep = foreign(&self.target).is_some();
            let aside = self.free_name(if keep { "before" } else { "replaced" });
            let mut on_disk = interrupt::undisturbed();
            fs::rename(&self.target, &aside)
                .map_err(|e| Failure::machine("cannot set aside", &self.target, e))?;
            if let Err(error) = fs::rename(&self.temporary, &self.target) {
                let _ = fs::rename(&aside, &self.target);
                return Err(Failure::machine("cannot put in its place", &self.target, error));
            }
            on_disk.is_whole(&self.temporary, &self.target);
            self.finished = true;
            if keep {
                set_aside = Some(aside);
            } else {
                // It goes whatever comes; a signal meanwhile finds it half gone and removes the rest.
                on_disk.begins(&aside);
                drop(on_disk);
                interrupt::remove(&aside);
                interrupt::undisturbed().forget(&aside);
            }
        } else {
            let mut on_disk = interrupt::undisturbed();
            fs::rename(&self.temporary, &self.target)
                .map_err(|e| Failure::machine("cannot put in its place", &self.target, e))?;
            on_disk.is_whole(&self.temporary, &self.target);
            self.finished = true;
        }
        Ok(set_aside)
    }

    /// The mark of a whole folder; from then on nothing of it is held open.
    fn write_mark(&mut self, list: &str) -> Result<(), Failure> {
        let path = self.temporary.join(MARK);
        let failed = |e| Failure::machine("cannot write", &path, e);
        let _on_disk = interrupt::undisturbed();
        let mut file = match self.mark.take() {
            Some(file) => file,
            None => File::create(&path).map_err(failed)?,
        };
        file.rewind().and_then(|()| file.set_len(0)).map_err(failed)?;
        file.write_all(list.as_bytes()).map_err(failed)
    }

    fn free_name(&self, word: &str) -> PathBuf {
        let base = self.target.as_os_str().to_string_lossy();
        let base = base.trim_end_matches(['/', '\\']);
        let mut path = PathBuf::from(format!("{base}.{word}"));
        let mut count = 2;
        while fs::symlink_metadata(&path).is_ok() {
            path = PathBuf::from(format!("{base}.{word}-{count}"));
            count += 1;
        }
        path
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        if !self.finished {
            interrupt::undisturbed().remove(&self.temporary);
        }
    }
}

/// What runs that were killed left behind in a folder: a half written folder whose mark nobody holds any more is
/// ours and of no process, and goes; of anything else of such a name it is said that it is there.
fn left_behind(parent: &Path) {
    let Ok(entries) = fs::read_dir(parent) else { return };
    let mut found: Vec<PathBuf> = entries
        .filter_map(|entry| {
            let entry = entry.ok()?;
            is_temporary(&entry.file_name().to_string_lossy()).then(|| entry.path())
        })
        .collect();
    found.sort();
    for path in found {
        match whose(&path) {
            Whose::OfARun => {}
            // A case that this run writes beside its folder stands there until both are put in their places.
            Whose::Unknown if is_ours(&path) => {}
            Whose::Nobodys => {
                interrupt::remove(&path);
                terminal::message(&format!(
                    "removed {}, which a run that was killed left half written",
                    path.display()
                ));
            }
            Whose::Unknown => terminal::message(&format!(
                "{} looks like what a run that was killed left behind; delete it if no backhold is writing there",
                path.display()
            )),
        }
    }
}

/// Whether what is half made is of this very process.
fn is_ours(path: &Path) -> bool {
    path.to_string_lossy().ends_with(&format!("{TEMPORARY}{}", std::process::id()))
}

/// Whether a name is one that [`Folder::begin`] gives to what is half made.
fn is_temporary(name: &str) -> bool {
    let process = name.strip_prefix('.').and_then(|name| name.rsplit_once(TEMPORARY));
    process.is_some_and(|(of, process)| {
        !of.is_empty() && !process.is_empty() && process.bytes().all(|b| b.is_ascii_digit())
    })
}

/// Whose something half made is.
enum Whose {
    OfARun,
    Nobodys,
    Unknown,
}

fn whose(path: &Path) -> Whose {
    if !fs::symlink_metadata(path).is_ok_and(|m| m.is_dir()) {
        return Whose::Unknown;
    }
    let Ok(mut mark) = File::open(path.join(MARK)) else { return Whose::Unknown };
    match mark.try_lock() {
        Ok(()) => {}
        Err(fs::TryLockError::WouldBlock) => return Whose::OfARun,
        Err(fs::TryLockError::Error(_)) => return Whose::Unknown,
    }
    let mut said = vec![0; BEING_WRITTEN.len()];
    let ours = mark.read_exact(&mut said).is_ok() && said == BEING_WRITTEN.as_bytes();
    if ours { Whose::Nobodys } else { Whose::Unknown }
}

/// Never takes the place of a folder that others stand on, not even with `--overwrite`: the folder
/// that the user stands in or one above it, the home folder, the system's folders (those right
/// below the root) and its folder for temporary files.
fn refuse_root_of_work(target: &Path) -> Result<(), Failure> {
    let Ok(there) = target.canonicalize() else { return Ok(()) };
    let known = |folder: Option<PathBuf>| folder.and_then(|d| d.canonicalize().ok());
    let holds = |folder: Option<PathBuf>| known(folder).is_some_and(|d| d.starts_with(&there));
    let of_the_system = there.parent().is_none_or(|parent| parent.parent().is_none());
    if of_the_system
        || holds(std::env::current_dir().ok())
        || holds(std::env::home_dir())
        || holds(Some(std::env::temp_dir()))
    {
        return Err(Failure::Usage(format!(
            "--out {}: this is a folder of the system, your home, the folder you stand in, or one above it; give a folder of its own",
            target.display()
        )));
    }
    Ok(())
}

fn refuse_foreign(target: &Path, overwrite: bool) -> Result<(), Failure> {
    match foreign(target) {
        Some(what) if !overwrite => Err(Failure::Usage(format!(
            "--out {}: {what}; give another folder, or --overwrite to set this one aside and write a new one",
            target.display()
        ))),
        _ => Ok(()),
    }
}

/// What Backhold wrote into a folder, and what stands there now.
pub(super) struct Written {
    /// Each file that it wrote, with its check sum.
    sums: BTreeMap<String, String>,
    /// What stands there, the mark left out, in order.
    pub there: Vec<String>,
}

impl Written {
    /// Of a folder that Backhold wrote; `None` of any other, and of one that cannot be read.
    pub(super) fn of(folder: &Path) -> Option<Self> {
        let sums = own_sums(&fs::read_to_string(folder.join(MARK)).ok()?);
        let mut there = Vec::new();
        list_files(folder, "", &mut there).ok()?;
        there.retain(|file| file != MARK);
        Some(Self { sums, there })
    }

    /// The files that it wrote, in order.
    pub(super) fn names(&self) -> impl Iterator<Item = &str> {
        self.sums.keys().map(String::as_str)
    }

    /// Whether this is the content that it wrote under this name.
    pub(super) fn is_untouched(&self, name: &str, content: &[u8]) -> bool {
        self.sums.get(name).is_some_and(|sum| *sum == sum_words(check_sum(content)))
    }
}

/// The files of a mark, with their check sums.
fn own_sums(mark: &str) -> BTreeMap<String, String> {
    let lines = mark.lines().filter(|l| !l.starts_with('#')).filter_map(|l| l.split_once(' '));
    lines.map(|(sum, name)| (name.to_owned(), sum.to_owned())).collect()
}

fn sum_words(sum: u64) -> String {
    format!("{sum:016x}")
}

/// What is at `target` that Backhold did not write, in words; `None` where nothing is.
fn foreign(target: &Path) -> Option<String> {
    let metadata = fs::symlink_metadata(target).ok()?;
    if !metadata.is_dir() {
        return Some("there is already something of this name that is not a folder".into());
    }
    let mut files = Vec::new();
    if list_files(target, "", &mut files).is_err() {
        return Some("the folder there cannot be read through".into());
    }
    if files.is_empty() {
        return None;
    }
    let Ok(mark) = fs::read_to_string(target.join(MARK)) else {
        return Some(format!("the folder there was not written by backhold (it has {})", files[0]));
    };
    let own = own_sums(&mark);
    for file in files.iter().filter(|f| *f != MARK) {
        let Some(sum) = own.get(file) else {
            return Some(format!("the folder there holds a file that backhold did not write ({file})"));
        };
        if !check_sum_of(&target.join(file)).is_ok_and(|found| sum_words(found) == *sum) {
            return Some(format!("a file there was changed since backhold wrote it ({file})"));
        }
    }
    None
}

/// FNV-1a, 64 bits: tells an edited file from an untouched one; it guards against nobody.
fn check_sum(content: &[u8]) -> u64 {
    check_sum_on(NOTHING, content)
}

/// The check sum of a file, read in parts: a survey's is as large as all that is held of it.
fn check_sum_of(path: &Path) -> std::io::Result<u64> {
    let mut file = BufReader::with_capacity(PART_BYTES, File::open(path)?);
    let mut sum = NOTHING;
    loop {
        let part = file.fill_buf()?;
        if part.is_empty() {
            return Ok(sum);
        }
        sum = check_sum_on(sum, part);
        let read = part.len();
        file.consume(read);
    }
}

/// The check sum of no content.
const NOTHING: u64 = 0xcbf2_9ce4_8422_2325;

/// The check sum of what has this one and then this content.
fn check_sum_on(sum: u64, content: &[u8]) -> u64 {
    content.iter().fold(sum, |sum, byte| (sum ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3))
}

/// A file that grows as it is found.
#[derive(Debug)]
pub(super) struct Growing {
    file: BufWriter<File>,
    sum: u64,
}

impl std::io::Write for Growing {
    fn write(&mut self, content: &[u8]) -> std::io::Result<usize> {
        let _on_disk = interrupt::undisturbed();
        let written = self.file.write(content)?;
        self.sum = check_sum_on(self.sum, &content[..written]);
        Ok(written)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        let _on_disk = interrupt::undisturbed();
        self.file.flush()
    }
}

fn list_files(folder: &Path, prefix: &str, files: &mut Vec<String>) -> std::io::Result<()> {
    let mut entries: Vec<_> = fs::read_dir(folder)?.collect::<Result<_, _>>()?;
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
        if entry.file_type()?.is_dir() {
            list_files(&entry.path(), &format!("{name}/"), files)?;
        } else {
            files.push(name);
        }
    }
    Ok(())
}
