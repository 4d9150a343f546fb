//! Choosing several by the keyboard: Shift with the arrow keys reaches along the harness from where it was first held.

use std::collections::BTreeSet;

use egui::{Id, Key, Ui};

use super::sheet::{Selected, Sheet};
use crate::{app::Screen, ui::act::Act};

/// How far the keyboard has reached.
#[derive(Clone, Debug)]
struct Reach {
    /// Where it began.
    from: Selected,
    /// What was chosen together before.
    base: BTreeSet<String>,
    /// Where the keyboard stands now.
    at: Selected,
}

fn reach_id() -> Id {
    Id::unique("reach of the keyboard")
}

/// Where the keyboard stands while several are chosen by it.
pub fn standing(ui: &Ui, sheet: &Sheet<'_>) -> Option<Selected> {
    let reach = ui.data(|data| data.get_temp::<Reach>(reach_id()))?;
    let many = &sheet.selection.many;
    many.contains(reach.at.part()).then_some(reach.at)
}

/// The next other part along the walk in a direction, as the keyboard stands on it.
pub fn next_part<'w>(walk: &'w [Selected], here: &Selected, key: Key) -> Option<&'w Selected> {
    let index = walk.iter().position(|what| what == here)?;
    let other = |what: &&Selected| what.part() != here.part();
    let found = match key {
        Key::ArrowRight => walk[index..].iter().find(other),
        Key::ArrowLeft => walk[..index].iter().rev().find(other),
        Key::Home => walk.first(),
        Key::End => walk.last(),
        _ => None,
    }?;
    Some(standing_place(walk, found))
}

/// The part itself where it can be stood on, else the point that stands for it.
fn standing_place<'w>(walk: &'w [Selected], found: &'w Selected) -> &'w Selected {
    let itself = Selected::Part(found.part().to_owned());
    walk.iter().find(|what| **what == itself).unwrap_or(found)
}

/// Chooses everything from where Shift was first held up to here. `along` is false for a step to another lane, which
/// adds what it comes to and nothing between.
pub fn reach_ui(
    ui: &Ui,
    sheet: &Sheet<'_>,
    walk: &[Selected],
    here: &Selected,
    next: &Selected,
    along: bool,
    acts: &mut Vec<Act>,
) {
    let many = &sheet.selection.many;
    let before = ui.data(|data| data.get_temp::<Reach>(reach_id()));
    let going_on = before.filter(|reach| reach.at == *here && !many.is_empty());
    let mut reach = going_on.unwrap_or_else(|| Reach {
        from: here.clone(),
        base: many.clone(),
        at: here.clone(),
    });
    reach.at = next.clone();
    let mut chosen = reach.base.clone();
    chosen.insert(here.part().to_owned());
    if along {
        chosen.clone_from(&reach.base);
        chosen.extend(between(walk, &reach.from, next));
    } else {
        chosen.extend(many.iter().cloned());
        chosen.insert(next.part().to_owned());
        reach.from = next.clone();
        reach.base.clone_from(&chosen);
    }
    ui.data_mut(|data| data.insert_temp(reach_id(), reach));
    acts.push(Screen::SelectMany(chosen).into());
}

/// Designations from one thing of the walk to another, both included.
fn between(walk: &[Selected], a: &Selected, b: &Selected) -> BTreeSet<String> {
    let place = |what: &Selected| walk.iter().position(|other| other == what);
    let (Some(a), Some(b)) = (place(a), place(b)) else {
        return BTreeSet::new();
    };
    let reached = &walk[a.min(b)..=a.max(b)];
    reached.iter().map(|what| what.part().to_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(id: &str) -> Selected {
        Selected::Part(id.to_owned())
    }

    fn point(text: &str) -> Selected {
        Selected::Point(text.parse().unwrap())
    }

    fn chain() -> Vec<Selected> {
        vec![
            point("M1.feed"),
            part("M1"),
            part("W1"),
            point("C1.1n"),
            part("C1"),
            point("C1.1f"),
            part("W2"),
            point("SP1"),
        ]
    }

    #[test]
    fn a_step_goes_to_the_next_other_part() {
        let walk = chain();
        let next = |here: &Selected, key| next_part(&walk, here, key).cloned();
        assert_eq!(next(&part("W1"), Key::ArrowRight), Some(part("C1")));
        assert_eq!(next(&part("C1"), Key::ArrowRight), Some(part("W2")));
        assert_eq!(next(&part("W2"), Key::ArrowRight), Some(point("SP1")));
        assert_eq!(next(&point("SP1"), Key::ArrowRight), None);
        assert_eq!(next(&part("W2"), Key::ArrowLeft), Some(part("C1")));
        assert_eq!(next(&part("W1"), Key::Home), Some(part("M1")));
    }

    #[test]
    fn everything_between_is_reached() {
        let walk = chain();
        let ids = between(&walk, &part("W2"), &part("W1"));
        assert_eq!(ids, ["C1", "W1", "W2"].map(str::to_owned).into());
    }
}
