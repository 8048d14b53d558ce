//! Ctrl-C and the signal that ends a process: at once, and nothing half made stays.
#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test may stop where it stands

use std::fs;
use std::io::Read;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use tempfile::tempdir;

/// A machine may be busy; asked for is a fifth of a second, and a hundredth is what an idle one takes.
const SOON: Duration = Duration::from_secs(2);
/// Until the program computes.
const UNDER_WAY: Duration = Duration::from_secs(30);

/// Seven joint sets and their spacings searched: minutes of work.
fn slow_case(folder: &Path) {
    let sample = fs::read_to_string("samples/haulage.toml").unwrap();
    let mut case = sample.replace("#:schema case.schema.json\n", "");
    for (name, dip, direction) in [("D", 35, 10), ("E", 75, 100), ("F", 60, 220), ("G", 25, 330)] {
        case += &format!(
            "\n[[joint_set]]\nname = \"{name}\"\ndip_deg = {dip}.0\ndip_direction_deg = {direction}.0\n\
             friction_deg = 30.0\nmax_trace_m = 6.0\n"
        );
    }
    case += "\n[[option]]\nname = \"closer\"\n[[option.pattern]]\nring_spacing_m = 1.0\n";
    fs::write(folder.join("case.toml"), case).unwrap();
}

fn started(folder: &Path, arguments: &[&str]) -> Child {
    let mut program = Command::new(assert_cmd::cargo::cargo_bin("backhold"));
    program.current_dir(folder).args(arguments).stdin(Stdio::null());
    program.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
}

/// What lies in a folder, hidden things too.
fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> = entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// Sends a signal once something half made lies there, and says how the run ended and how long that took.
fn signalled(folder: &Path, mut run: Child, signal: &str, half_made: &dyn Fn() -> bool) -> (i32, String) {
    let start = Instant::now();
    while !half_made() {
        assert!(start.elapsed() < UNDER_WAY, "nothing begun after {UNDER_WAY:?}: {:?}", names(folder));
        sleep(Duration::from_millis(20));
    }
    // Well into the search, on all threads.
    sleep(Duration::from_secs(1));
    assert_eq!(run.try_wait().unwrap(), None, "it was to run for a minute");
    let pid = run.id().to_string();
    let sent = Instant::now();
    assert!(Command::new("kill").args([signal, &pid]).status().unwrap().success());
    let status = loop {
        if let Some(status) = run.try_wait().unwrap() {
            break status;
        }
        if sent.elapsed() > 10 * SOON {
            run.kill().unwrap();
            panic!("still running {:?} after {signal}", sent.elapsed());
        }
        sleep(Duration::from_millis(2));
    };
    let took = sent.elapsed();
    println!("ended {took:?} after {signal}");
    assert!(took < SOON, "{took:?}");
    let [mut said, mut results] = [String::new(), String::new()];
    run.stderr.take().unwrap().read_to_string(&mut said).unwrap();
    run.stdout.take().unwrap().read_to_string(&mut results).unwrap();
    assert_eq!(results, "");
    (status.code().unwrap(), said)
}

#[test]
fn a_signal_ends_a_long_run_at_once_and_leaves_nothing() {
    for (signal, status) in [("-INT", 130), ("-TERM", 143)] {
        let dir = tempdir().unwrap();
        slow_case(dir.path());
        let run = started(dir.path(), &["check", "case.toml", "--spacings", "--out", "deep/er/out"]);
        let begun = dir.path().join("deep/er");
        let half_made = || begun.exists() && names(&begun).iter().any(|n| n.starts_with(".out.backhold-"));
        let (code, said) = signalled(dir.path(), run, signal, &half_made);
        assert_eq!((code, said.as_str()), (status, "interrupted; nothing was written\n"));
        assert_eq!(names(dir.path()), ["case.toml"]);
    }
}

/// What stood there before stays as it was, and so does what others put beside it.
#[test]
fn a_signal_leaves_what_was_there() {
    let dir = tempdir().unwrap();
    slow_case(dir.path());
    for folder in ["out", "new"] {
        fs::create_dir(dir.path().join(folder)).unwrap();
    }
    fs::write(dir.path().join("new/note.txt"), "mine").unwrap();
    let arguments = ["check", "case.toml", "--spacings", "--option", "closer", "--write", "new/chosen.toml"];
    let run = started(dir.path(), &[&arguments[..], &["--out", "out"]].concat());
    let half_made = || {
        let begun =
            |folder: &str, name: &str| names(&dir.path().join(folder)).iter().any(|n| n.starts_with(name));
        begun("", ".out.backhold-") && begun("new", ".chosen.toml.backhold-")
    };
    let (code, said) = signalled(dir.path(), run, "-INT", &half_made);
    assert_eq!((code, said.as_str()), (130, "interrupted; nothing was written\n"));
    assert_eq!(names(dir.path()), ["case.toml", "new", "out"]);
    assert_eq!(names(&dir.path().join("new")), ["note.txt"]);
    assert!(names(&dir.path().join("out")).is_empty());
}

/// A run that was killed cannot tidy up: the next one that writes beside it does, names it, and touches neither what
/// a run still writes nor what only looks like it.
#[test]
fn what_a_killed_run_left_is_named_and_removed_by_the_next() {
    let dir = tempdir().unwrap();
    slow_case(dir.path());
    let left = || names(dir.path()).into_iter().find(|n| n.starts_with(".out.backhold-"));
    let plan = || {
        let sample = std::env::current_dir().unwrap().join("samples/haulage.toml");
        let mut run = assert_cmd::Command::new(assert_cmd::cargo::cargo_bin("backhold"));
        let run =
            run.current_dir(dir.path()).arg("plan").arg(sample).args(["--length-m", "9", "--out", "other"]);
        String::from_utf8(run.assert().success().get_output().stderr.clone()).unwrap()
    };
    let mut run = started(dir.path(), &["check", "case.toml", "--spacings", "--out", "out"]);
    let start = Instant::now();
    let mark = || left().is_some_and(|name| dir.path().join(name).join(".backhold").exists());
    while !mark() {
        assert!(start.elapsed() < UNDER_WAY, "nothing begun: {:?}", names(dir.path()));
        sleep(Duration::from_millis(20));
    }
    // The lock follows the mark at once.
    sleep(Duration::from_millis(200));
    assert!(!plan().contains(".out.backhold-"));
    assert!(left().is_some());
    run.kill().unwrap();
    run.wait().unwrap();
    let gone = left().unwrap();
    fs::create_dir(dir.path().join(".mine.backhold-12")).unwrap();
    fs::write(dir.path().join(".mine.backhold-12/a"), "mine").unwrap();
    let said = plan();
    assert!(
        said.contains(&format!("removed ./{gone}, which a run that was killed left half written")),
        "{said}"
    );
    assert!(said.contains(".mine.backhold-12 looks like what a run that was killed left"), "{said}");
    assert_eq!(names(dir.path()), [".mine.backhold-12", "case.toml", "other"]);
}
