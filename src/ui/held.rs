//! What saves or leaves the job, or the page, waits a frame: the fields on the page take what is typed in them first.

use egui::Context;

use super::{
    act::Act,
    kit::{NotTaken, not_taken, shortened, take_typed},
};
use crate::app::{
    Command, FileCommand, Screen,
    model::{Refusal, Weight},
};

/// Longest piece of a text that is shown to say what was not taken, in characters.
const SHOWN: usize = 40;

/// Requests that wait for the fields.
#[derive(Default)]
pub struct Held {
    waiting: Vec<Act>,
    due: Vec<Act>,
}

impl Held {
    /// Lets a request wait until the frame that follows, or that is about to be drawn, has been drawn.
    pub fn push(&mut self, act: impl Into<Act>) {
        self.waiting.push(act.into());
    }

    /// Before a frame is drawn: has its fields take what is typed if something waits for that.
    pub fn begin(&mut self, ctx: &Context) {
        self.due = std::mem::take(&mut self.waiting);
        if !self.due.is_empty() {
            take_typed(ctx);
        }
    }

    /// After a frame: what is to be carried out now, in order. What would leave the job is given up where a text cannot
    /// be taken and nobody was told yet; the second time it goes ahead.
    pub fn end(&mut self, ctx: &Context, acts: Vec<Act>) -> Vec<Act> {
        let (wait, mut now): (Vec<Act>, Vec<Act>) = acts.into_iter().partition(needs_all);
        self.waiting.extend(wait);
        let not_taken = not_taken(ctx);
        let is_news = not_taken.iter().any(|field| !field.again);
        let mut given_up = false;
        for act in std::mem::take(&mut self.due) {
            if is_news && leaves(&act) {
                given_up = true;
            } else {
                now.push(act);
            }
        }
        let said = not_taken.iter().filter(|field| !field.again);
        now.extend(said.map(|field| told(field, given_up)));
        now
    }
}

fn told(field: &NotTaken, given_up: bool) -> Act {
    let what = format!("“{}” is not taken", shortened(&field.text, SHOWN));
    let remedy = if given_up {
        "; correct it, or leave a second time without it"
    } else {
        "; correct it, or press Escape in it"
    };
    let remedy = format!("{}{remedy}", field.why);
    let refusal = Refusal::new(field.field.clone(), what, remedy);
    Screen::Tell(Weight::Trouble, refusal).into()
}

fn leaves(act: &Act) -> bool {
    match act {
        Act::Do(Command::File(FileCommand::Leave(_))) | Act::Open(_) => true,
        Act::All(acts) => acts.iter().any(leaves),
        _ => false,
    }
}

/// Whether it writes the job, or turns to something else than its page.
fn needs_all(act: &Act) -> bool {
    match act {
        Act::Do(Command::File(file)) => matches!(
            file,
            FileCommand::Leave(_)
                | FileCommand::Save
                | FileCommand::SaveAs(_)
                | FileCommand::Duplicate
                | FileCommand::Report(_)
        ),
        Act::Do(Command::Screen(Screen::Show(_))) | Act::Open(_) => true,
        Act::All(acts) => acts.iter().any(needs_all),
        _ => false,
    }
}
