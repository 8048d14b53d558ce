//! A case file written anew (`--write`): refused early, read back before it stands in its place.

use std::fs::{self, OpenOptions};
use std::io::Write as _;
use std::path::{Component, Path, PathBuf};

use super::interrupt;
use super::outcome::Failure;
use crate::case::{Case, InPlace, PlanInputs, ReadCase, Rewritten, read_case, reads_as, rewritten};
use crate::report::change_list;

/// What the new case holds, and what it has to read as.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wanted<'a> {
    pub put: InPlace<'a>,
    /// Where it comes from in the case, in words.
    pub words: &'a str,
    pub case: &'a Case,
    pub plan: &'a PlanInputs,
    pub dated: Option<&'a str>,
}

/// Where a new case will lie.
#[derive(Debug)]
pub(super) struct NewCase {
    target: PathBuf,
    parent: PathBuf,
    overwrite: bool,
    /// What leads from there to the folder of the case that it comes from; `None` where both lie in
    /// one folder.
    way: Option<String>,
}

impl NewCase {
    /// Looks at the place: nothing is written yet.
    ///
    /// # Errors
    /// Where a file is there already and `overwrite` is not set, where it is one that the case is read
    /// from, or where the place cannot take it.
    pub(super) fn at(
        target: &Path,
        case: &Path,
        read: &ReadCase,
        out: &Path,
        overwrite: bool,
    ) -> Result<Self, Failure> {
        let refused = |why: &str| Err(Failure::Usage(format!("--write {}: {why}", target.display())));
        if target.file_name().is_none() {
            return refused("this is no name for a file; give one such as chosen.toml");
        }
        let Ok(parent) = folder_of(target).canonicalize() else {
            return refused("there is no such folder; make it, or give a file in another one");
        };
        if target.is_dir() {
            return refused("this is a folder; name a file in it");
        }
        if parent.starts_with(whole_path(out)) {
            return refused(
                "this lies in the folder of --out, which is replaced as a whole; give a place outside of it",
            );
        }
        let case_folder = folder_of(case);
        let inputs = read.files.iter().skip(1).map(|file| case_folder.join(&file.name));
        let there = target.canonicalize().ok();
        if there.is_some() && inputs.chain([case.to_path_buf()]).any(|f| f.canonicalize().ok() == there) {
            return refused("the case is read from this file; give another name");
        }
        let new = Self { target: target.to_path_buf(), overwrite, way: None, parent };
        new.refuse_file()?;
        let from = case_folder.canonicalize().map_err(|e| Failure::machine("cannot find", case_folder, e))?;
        let way = match from == new.parent {
            true => None,
            false => Some(way(&new.parent, &from).ok_or_else(|| {
                Failure::Usage(format!(
                    "--write {}: no relative path leads from there to the files of the case; give a place on the same disk",
                    target.display()
                ))
            })?),
        };
        Ok(Self { way, ..new })
    }

    fn refuse_file(&self) -> Result<(), Failure> {
        if self.overwrite || self.target.symlink_metadata().is_err() {
            return Ok(());
        }
        Err(Failure::Usage(format!(
            "--write {}: this file is already there; give another name, or --overwrite to set it aside",
            self.target.display()
        )))
    }

    /// Writes the case under a temporary name and reads it back from there.
    ///
    /// # Errors
    /// Where it does not read as what is wanted, or the machine says no.
    pub(super) fn ready(self, read: &ReadCase, wanted: &Wanted<'_>) -> Result<ReadyCase, Failure> {
        // A path from the root stays what it is.
        let moved = |name: &str| match &self.way {
            Some(way) if !Path::new(name).is_absolute() => format!("{way}/{name}"),
            _ => name.to_owned(),
        };
        let failed = |why: String| Failure::Usage(format!("--write {}: {why}", self.target.display()));
        let new = rewritten(read, wanted.put, &moved).map_err(|e| failed(e.to_string()))?;
        let name = self.target.file_name().unwrap_or_default().to_string_lossy();
        let temporary = self.parent.join(format!(".{name}.backhold-{}", std::process::id()));
        let machine = |e| Failure::machine("cannot write", &self.target, e);
        let mut on_disk = interrupt::undisturbed();
        let mut file = OpenOptions::new().write(true).create_new(true).open(&temporary).map_err(machine)?;
        on_disk.begins(&temporary);
        let text = heading(read, wanted, &new) + &new.text;
        let written = file.write_all(text.as_bytes());
        drop((file, on_disk));
        let ready = ReadyCase { place: self, temporary };
        written.map_err(|e| Failure::machine("cannot write", &ready.place.target, e))?;
        // What is handed over to be signed must be what was judged, read as anybody will read it.
        let back = read_case(&ready.temporary).map_err(|problems| {
            let shown = ready.temporary.display().to_string();
            let problems = problems.to_string().replace(&shown, &ready.place.target.display().to_string());
            Failure::Usage(format!(
                "--write {}: the case that would be written cannot be read, so it is not written:\n{problems}",
                ready.place.target.display()
            ))
        })?;
        if !reads_as(&back, wanted.case, wanted.plan) {
            return Err(Failure::Usage(format!(
                "--write {}: the case that would be written does not read as what was judged, so it is not written; report it with the case",
                ready.place.target.display()
            )));
        }
        Ok(ready)
    }
}

/// A new case under a temporary name; dropped before [`ReadyCase::finish`], it leaves nothing behind.
#[derive(Debug)]
pub(super) struct ReadyCase {
    place: NewCase,
    temporary: PathBuf,
}

impl ReadyCase {
    /// Puts it in its place. A file that stood there is set aside under a new name, which is returned.
    ///
    /// # Errors
    /// When the machine says no, or a file came there meanwhile.
    pub(super) fn finish(self) -> Result<Option<PathBuf>, Failure> {
        let target = &self.place.target;
        self.place.refuse_file()?;
        let mut set_aside = None;
        let mut on_disk = interrupt::undisturbed();
        if target.symlink_metadata().is_ok() {
            let aside = free_name(target);
            fs::rename(target, &aside).map_err(|e| Failure::machine("cannot set aside", target, e))?;
            set_aside = Some(aside);
        }
        fs::rename(&self.temporary, target)
            .map_err(|e| Failure::machine("cannot put in its place", target, e))?;
        on_disk.is_whole(&self.temporary, target);
        Ok(set_aside)
    }
}

impl Drop for ReadyCase {
    fn drop(&mut self) {
        // Gone already where it was put in its place.
        interrupt::undisturbed().remove(&self.temporary);
    }
}

fn free_name(target: &Path) -> PathBuf {
    let base = target.as_os_str().to_string_lossy();
    let named = |count: usize| match count {
        1 => PathBuf::from(format!("{base}.before")),
        n => PathBuf::from(format!("{base}.before-{n}")),
    };
    let mut count = 1;
    while named(count).symlink_metadata().is_ok() {
        count += 1;
    }
    named(count)
}

fn folder_of(file: &Path) -> &Path {
    match file.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

/// The path of a folder from the root, whether it is there yet or not.
fn whole_path(folder: &Path) -> PathBuf {
    if let Ok(there) = folder.canonicalize() {
        return there;
    }
    match (folder_of(folder).canonicalize(), folder.file_name()) {
        (Ok(parent), Some(name)) => parent.join(name),
        _ => std::path::absolute(folder).unwrap_or_else(|_| folder.to_path_buf()),
    }
}

/// The relative path from one folder to another, both from the root, divided by `/`; `None` where there
/// is none, or it is no text.
fn way(from: &Path, to: &Path) -> Option<String> {
    let (from, to): (Vec<Component>, Vec<Component>) =
        (from.components().collect(), to.components().collect());
    let shared = from.iter().zip(&to).take_while(|(a, b)| a == b).count();
    if shared == 0 {
        return None;
    }
    let up = from[shared..].iter().map(|_| Some(".."));
    let down = to[shared..].iter().map(|part| part.as_os_str().to_str());
    Some(up.chain(down).collect::<Option<Vec<&str>>>()?.join("/"))
}

/// The comment that says where a case comes from, what is changed in it and what is left out.
fn heading(read: &ReadCase, wanted: &Wanted<'_>, new: &Rewritten) -> String {
    let source = read.files.first();
    let name = source.map_or("", |file| file.name.as_str());
    let dated = wanted.dated.map(|date| format!(", dated {date}")).unwrap_or_default();
    let mut lines = vec![format!(
        "From {name}, {}; written by backhold {}{dated}.",
        wanted.words,
        env!("CARGO_PKG_VERSION")
    )];
    lines.extend(source.map(|file| format!("{name} then, SHA-256: {}.", file.sha256)));
    lines.push(match new.changes.as_slice() {
        [] => "Nothing of it is changed.".to_owned(),
        _ => "Changed in it; comments below stand as they stood there, and may speak of what was:".to_owned(),
    });
    if !new.changes.is_empty() {
        lines.extend(change_list(&new.changes).iter().map(|change| format!("  {change}")));
    }
    if !new.left_out.is_empty() {
        lines.push(format!("Left out: {}.", new.left_out.join(", ")));
    }
    // A comment is one line, and holds no control characters.
    let plain = |line: &String| line.replace(|c: char| c.is_control(), " ");
    lines.iter().map(|line| format!("# {}\n", plain(line))).collect::<String>() + "\n"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_way_leads_from_one_folder_to_another() {
        let of = |from: &str, to: &str| way(Path::new(from), Path::new(to));
        assert_eq!(of("/a/b", "/a/b/c").as_deref(), Some("c"));
        assert_eq!(of("/a/b/c", "/a/d").as_deref(), Some("../../d"));
        assert_eq!(of("/a", "/").as_deref(), Some(".."));
        assert_eq!(of("/a", "b"), None);
    }
}
