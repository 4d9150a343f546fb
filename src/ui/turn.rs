//! Keys go to what is in front when they are struck: what follows a press or a command in the same frame waits for the
//! next one, since a question may stand there by then, and waits on until that question has been drawn.

use std::mem::{Discriminant, discriminant};

use egui::{Context, Event, Key};

use super::dialog::Dialog;

/// What stands in front of the page.
type Front = (bool, Option<Discriminant<Dialog>>);

/// Keys that wait for their turn.
#[derive(Default)]
pub struct Turn {
    waiting: Vec<Event>,
    front: Front,
}

impl Turn {
    /// Before a frame is drawn: gives out the keys that waited, as far as it is their turn. `guarded`: the question
    /// before leaving is asked.
    pub fn begin(&mut self, ctx: &Context, guarded: bool, dialog: Option<&Dialog>) {
        let front = (guarded, dialog.map(discriminant));
        let new = front != self.front && front != Front::default();
        self.front = front;
        if new && let Some(behind) = ctx.memory(egui::Memory::focused) {
            ctx.memory_mut(|memory| memory.surrender_focus(behind));
        }
        let typing = ctx.text_edit_focused();
        let waited = std::mem::take(&mut self.waiting);
        self.waiting = ctx.input_mut(|input| {
            let events = std::mem::take(&mut input.events);
            let (now, waiting) = divided(waited.into_iter().chain(events), new, typing);
            input.events = now;
            waiting
        });
        if !self.waiting.is_empty() {
            ctx.request_repaint();
        }
    }
}

/// What is for this frame, and what waits: while a question was never drawn all keys, else those that follow the first
/// press or command.
fn divided(
    events: impl Iterator<Item = Event>,
    new: bool,
    typing: bool,
) -> (Vec<Event>, Vec<Event>) {
    let (mut now, mut waiting) = (Vec::new(), Vec::new());
    let (mut over, mut own_letter) = (new, false);
    for event in events {
        if !over {
            over = ends(&event, typing);
            own_letter = writes(&event);
            now.push(event);
            continue;
        }
        match &event {
            // The letter that a key writes belongs to the key.
            Event::Text(_) if own_letter && waiting.is_empty() => {
                own_letter = false;
                now.push(event);
            }
            // A key that is held down would fill the queue while frames are slow.
            Event::Key { repeat: true, .. } if new || !waiting.is_empty() => {}
            Event::Key { repeat: true, .. } => now.push(event),
            Event::Key { pressed: false, .. } if waiting.is_empty() => now.push(event),
            Event::Key { .. }
            | Event::Text(_)
            | Event::Copy
            | Event::Cut
            | Event::Paste(_)
            | Event::Ime(_) => waiting.push(event),
            _ => now.push(event),
        }
    }
    (now, waiting)
}

/// Whether something else may stand in front after it: a press of the pointer that is let go, a command, and any key while
/// nothing is being typed.
fn ends(event: &Event, typing: bool) -> bool {
    match event {
        Event::PointerButton { pressed, .. } => !pressed,
        Event::Paste(_) => true,
        Event::Key {
            key,
            pressed: true,
            repeat: false,
            modifiers,
            ..
        } => {
            let command = modifiers.command || modifiers.alt;
            let leaves = matches!(key, Key::Enter | Key::Escape | Key::Tab | Key::F1 | Key::F2);
            !typing || command || leaves
        }
        _ => false,
    }
}

/// Whether a key writes a letter that comes as an event of its own.
fn writes(event: &Event) -> bool {
    matches!(event, Event::Key { pressed: true, modifiers, .. } if !modifiers.command && !modifiers.alt)
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::Modifiers;

    fn key(key: Key, modifiers: Modifiers, repeat: bool) -> Event {
        Event::Key {
            key,
            physical_key: None,
            pressed: true,
            repeat,
            modifiers,
        }
    }

    fn text(letter: &str) -> Event {
        Event::Text(letter.to_owned())
    }

    #[test]
    fn what_follows_a_command_waits_and_what_is_typed_does_not() {
        let ask = key(Key::K, Modifiers::COMMAND, false);
        let s = [key(Key::S, Modifiers::NONE, false), text("s")];
        let all = [vec![ask.clone()], s.to_vec()].concat();
        let (now, waiting) = divided(all.clone().into_iter(), false, false);
        assert_eq!((now, waiting), (vec![ask], s.to_vec()));
        // A question that was never drawn has no box yet that could take them.
        let (now, waiting) = divided(s.clone().into_iter(), true, false);
        assert_eq!((now, waiting), (vec![], s.to_vec()));
        let twice = [s.clone(), s.clone()].concat();
        let (now, waiting) = divided(twice.clone().into_iter(), false, true);
        assert_eq!((now, waiting), (twice.clone(), vec![]), "typed in a box");
        let (now, waiting) = divided(twice.into_iter(), false, false);
        assert_eq!(
            (now, waiting),
            (s.to_vec(), s.to_vec()),
            "a key with its letter"
        );
    }

    #[test]
    fn a_key_that_is_held_down_fills_no_queue() {
        let right = |repeat| key(Key::ArrowRight, Modifiers::NONE, repeat);
        let held = [right(false), right(true), right(true)];
        let (now, waiting) = divided(held.into_iter(), false, false);
        assert_eq!((now.len(), waiting.len()), (3, 0));
    }
}
