//! What is being done, on a terminal, once it takes more than a second.

use std::io::{IsTerminal, Write};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use super::terminal;
use crate::case::{Case, check_cost};
use crate::study::{Steps, StepsSeen};

/// A guess beyond this, seconds of one core, is said before a run.
const LONG_S: f64 = 60.0;

/// A run that ends sooner says nothing.
const QUIET: Duration = Duration::from_secs(1);
/// How often the line is written anew.
const ANEW: Duration = Duration::from_millis(250);
/// Steps that have to be done before the rest of them is guessed from how long they took.
const LEAST_STEPS: usize = 3;
/// To the start of the line, and nothing on it.
const CLEAR: &str = "\r\u{1b}[K";

/// Whether a line stands on the terminal that has to go before anything else is said.
static SHOWN: AtomicBool = AtomicBool::new(false);

/// A line on the terminal until it is dropped; nothing where stderr is none.
pub(super) struct Progress {
    shared: Arc<Shared>,
    shows: Option<JoinHandle<()>>,
}

#[derive(Default)]
struct Shared {
    steps: Steps,
    over: Mutex<bool>,
    woken: Condvar,
}

impl Progress {
    /// Shows what is being done from now on.
    pub(super) fn begin(doing: &'static str) -> Self {
        let shared = Arc::new(Shared::default());
        shared.steps.begin(doing, 0);
        let mut shows = None;
        if std::io::stderr().is_terminal() {
            let shared = Arc::clone(&shared);
            shows = std::thread::Builder::new().name("progress".into()).spawn(move || shared.show()).ok();
        }
        Self { shared, shows }
    }

    /// What a study counts on.
    pub(super) fn steps(&self) -> &Steps {
        &self.shared.steps
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        *self.shared.over.lock().unwrap_or_else(PoisonError::into_inner) = true;
        self.shared.woken.notify_all();
        if let Some(shows) = self.shows.take() {
            let _ = shows.join();
        }
        clear();
    }
}

/// Says before a run how long it may take, where that is long: the sum over these cases, of each so much of
/// what a check takes.
pub(super) fn announce<'c>(cases: impl IntoIterator<Item = &'c Case>, of_a_check: f64) {
    let costs = cases.into_iter().filter_map(|case| Some(check_cost(case, &case.opening().ok()?)));
    let costs: Vec<_> = costs.collect();
    let core_seconds: f64 = of_a_check * costs.iter().map(|cost| cost.core_seconds).sum::<f64>();
    if core_seconds > LONG_S {
        let most = |of: fn(&crate::case::CheckCost) -> usize| costs.iter().map(of).max().unwrap_or(0);
        terminal::message(&terminal::wrapped(&format!(
            "this may take {} of one core, within three times either way, shared by {} threads: {} triples of \
             joints, {} facets, {} sliding patterns. Ctrl-C ends it, and nothing is written then.",
            duration_words(Duration::from_secs_f64(core_seconds)),
            rayon::current_num_threads(),
            most(|c| c.triples),
            most(|c| c.facets),
            most(|c| c.sliding),
        )));
    }
}

/// Takes the line away, where one stands.
pub(super) fn clear() {
    if SHOWN.swap(false, Ordering::SeqCst) {
        let _ = write!(std::io::stderr().lock(), "{CLEAR}");
    }
}

impl Shared {
    fn show(&self) {
        let mut wait = QUIET;
        let mut stage: Option<(&'static str, Instant)> = None;
        loop {
            let over = self.over.lock().unwrap_or_else(PoisonError::into_inner);
            let waited = self.woken.wait_timeout_while(over, wait, |over| !*over);
            let (over, _) = waited.unwrap_or_else(PoisonError::into_inner);
            if *over {
                return;
            }
            wait = ANEW;
            let seen = self.steps.seen();
            let since = match stage {
                Some((doing, since)) if doing == seen.doing => since,
                // Known within one look, or from before the first.
                _ => stage.insert((seen.doing, Instant::now())).1,
            };
            SHOWN.store(true, Ordering::SeqCst);
            let mut terminal = std::io::stderr().lock();
            let _ = write!(terminal, "{CLEAR}{}", words(seen, since.elapsed()));
            let _ = terminal.flush();
        }
    }
}

/// What is being done, how much of it is done, and how long the rest takes if it goes on as it did.
fn words(seen: StepsSeen, since: Duration) -> String {
    let StepsSeen { doing, done, of } = seen;
    if of == 0 {
        return format!("{doing} …");
    }
    #[allow(clippy::cast_precision_loss)] // a terminal shows two figures
    let share = done as f64 / of as f64;
    let mut line = format!("{doing}: {done} of {of}");
    if done >= LEAST_STEPS && done < of {
        let left = since.mul_f64((1.0 - share) / share);
        line += &format!(", about {} left if the rest goes as fast", duration_words(left));
    }
    line
}

/// A time in seconds or minutes.
pub(super) fn duration_words(time: Duration) -> String {
    match time.as_secs_f64() {
        s if s < 90.0 => format!("{:.0} s", s.max(1.0)),
        s if s < 90.0 * 60.0 => format!("{:.0} minutes", s / 60.0),
        s => format!("{:.0} hours", s / 3600.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_says_what_is_done_and_what_is_left() {
        let said =
            |done, of, s| words(StepsSeen { doing: "judging wedges", done, of }, Duration::from_secs(s));
        assert_eq!(said(0, 0, 5), "judging wedges …");
        assert_eq!(said(2, 8, 5), "judging wedges: 2 of 8");
        assert_eq!(said(4, 8, 5), "judging wedges: 4 of 8, about 5 s left if the rest goes as fast");
        assert_eq!(said(8, 8, 5), "judging wedges: 8 of 8");
        assert!(said(10, 600, 60).contains("about 59 minutes left"));
        assert_eq!(duration_words(Duration::from_secs(7200)), "2 hours");
    }

    #[test]
    fn a_study_is_seen_at_what_it_counts() {
        let progress = Progress::begin("reading");
        let steps = progress.steps();
        assert_eq!(steps.seen(), StepsSeen { doing: "reading", done: 0, of: 0 });
        steps.begin("judging", 3);
        steps.step();
        assert_eq!(steps.seen(), StepsSeen { doing: "judging", done: 1, of: 3 });
        steps.reach(7);
        assert_eq!(steps.seen().done, 3);
    }
}
