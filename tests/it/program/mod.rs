//! The program, and what it says and writes on the samples: run once for all tests that look at it.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests may panic as tests may

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::sync::{Mutex, OnceLock};

use assert_cmd::Command;

/// The program, to be run from the crate's own folder.
pub fn backhold() -> Command {
    Command::cargo_bin("backhold").unwrap()
}

/// Every file below a folder, by its path from there, and its bytes.
pub fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(next) = open.pop() {
        for entry in fs::read_dir(next).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path.strip_prefix(folder).unwrap().to_string_lossy().into_owned();
                found.push((name, fs::read(&path).unwrap()));
            }
        }
    }
    found.sort();
    found
}

/// A run that ended with status 0.
#[derive(Default)]
pub struct Run {
    pub stdout: String,
    pub stderr: String,
    files: Vec<(String, Vec<u8>)>,
}

impl Run {
    /// A file that it wrote.
    pub fn bytes(&self, name: &str) -> &[u8] {
        &self.files.iter().find(|f| f.0 == name).unwrap_or_else(|| panic!("no {name}")).1
    }

    /// A text that it wrote.
    pub fn text(&self, name: &str) -> &str {
        std::str::from_utf8(self.bytes(name)).unwrap()
    }

    /// Lays what it wrote into a folder, for tests that go on from there.
    pub fn lay_into(&self, folder: &Path) {
        for (name, bytes) in &self.files {
            let path = folder.join(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, bytes).unwrap();
        }
    }
}

/// The run with these arguments and an empty folder behind `--out`, but for `verdict`, which writes nothing; the same
/// arguments give the same run. Nothing of it stays on disk.
pub fn ran(arguments: &[&str]) -> &'static Run {
    type Cell = &'static OnceLock<Run>;
    static RUNS: Mutex<BTreeMap<String, Cell>> = Mutex::new(BTreeMap::new());
    let cell: Cell =
        RUNS.lock().unwrap().entry(arguments.join("\n")).or_insert_with(|| Box::leak(Box::default()));
    cell.get_or_init(|| {
        let dir = tempfile::tempdir().unwrap();
        let out = dir.path().join("out");
        let mut command = backhold();
        command.args(arguments);
        if arguments.first() != Some(&"verdict") {
            command.arg("--out").arg(&out);
        }
        let run = command.assert().success();
        let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
        let output = run.get_output();
        Run {
            stdout: text(&output.stdout),
            stderr: text(&output.stderr),
            files: if out.exists() { files(&out) } else { Vec::new() },
        }
    })
}

/// Asserts that a page fetches nothing: its scripts and styles stand in it, and its policy allows no more.
pub fn fetches_nothing(html: &str) {
    for link in ["<link", "<img", "<iframe", "@import", "url(", "src="] {
        assert!(!html.contains(link), "{link}");
    }
    for script in html.split("<script").skip(1) {
        let data = " type=\"application/json\" id=\"view-data\">";
        assert!(script.starts_with('>') || script.starts_with(data), "<script{}", &script[..40]);
    }
    assert!(html.contains(
        "content=\"default-src 'none';style-src 'unsafe-inline';img-src data:;script-src 'sha256-"
    ));
    // The only addresses are the names of the SVG namespaces.
    for part in html.split("http").skip(1).filter(|part| !part.starts_with("-equiv=")) {
        assert!(part.starts_with("://www.w3.org/"), "http{}", &part[..40.min(part.len())]);
    }
}
