//! A bar with the time left, on a terminal only, and Ctrl-C that ends at the next replication.

use super::console::Console;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use taktwright::simulate::Oversight;
use taktwright::study::Attendant;

static INTERRUPTED: AtomicBool = AtomicBool::new(false);

/// Ctrl-C asks the run to end from now on; a second one ends the program at once.
pub fn listen_for_ctrl_c() {
    let asked = ctrlc::set_handler(|| {
        if INTERRUPTED.swap(true, Ordering::SeqCst) {
            leave_at_once();
        }
    });
    // Without a handler Ctrl-C simply ends the program: nothing is lost but the partial result.
    drop(asked);
}

/// A second Ctrl-C means now.
#[expect(clippy::disallowed_methods, reason = "the user asked twice; no result is wanted any more")]
fn leave_at_once() {
    std::process::exit(i32::from(super::status::Status::Interrupted.code()));
}

/// Attends a run from the terminal.
#[derive(Debug)]
pub struct Progress {
    bar: Option<ProgressBar>,
    /// What the bar counts just now.
    what: Mutex<String>,
}

impl Progress {
    pub fn new(console: Console) -> Progress {
        let bar = console.draws_bars().then(|| {
            let bar = ProgressBar::with_draw_target(Some(0), ProgressDrawTarget::stderr());
            let style = ProgressStyle::with_template("{msg} {wide_bar} {pos} of {len}, {eta} left");
            bar.with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
        });
        Progress { bar, what: Mutex::new(String::new()) }
    }
}

impl Oversight for Progress {
    fn finished_one(&self) {
        if let Some(bar) = &self.bar {
            bar.inc(1);
        }
    }

    fn stop(&self) -> bool {
        INTERRUPTED.load(Ordering::SeqCst)
    }
}

impl Attendant for Progress {
    fn begin(&self, what: &str, replications: u32) {
        if let Some(bar) = &self.bar {
            let mut shown = self.what.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
            if *shown == what {
                bar.inc_length(u64::from(replications));
            } else {
                *shown = what.to_string();
                bar.reset();
                bar.set_length(u64::from(replications));
                bar.set_message(what.to_string());
            }
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}
