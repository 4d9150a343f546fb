//! The next test: what to do, where, how long it takes, what each outcome would mean, how much it narrows.

use egui::{Align, CornerRadius, Frame, Layout, Margin, Stroke, Ui, vec2};

use super::{page::Bench as Page, sheet::Selected};
use crate::{
    advise::{Asked, Best, Move, Test},
    app::{Bench, Screen, model::Answer},
    circuit::Point,
    explain::{NextWords, TestWords},
    reading::{Kind, State},
    ui::{
        act::Act,
        dialog::{Dialog, LookDraft, none_found},
        kit::{Tone, button_ui, fold_ui, label_ui, text_ui},
        theme::{CARD_RADIUS, STRONG, Theme},
    },
};

/// Outcomes and tests that are listed.
const OUTCOMES: usize = 4;
const OTHERS: usize = 6;

/// The card; nothing while there is no advice.
pub fn next_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, acts: &mut Vec<Act>) {
    let Some(answer) = &page.model.answer else {
        return;
    };
    let advice = &answer.findings.next;
    if advice.best == Best::Unasked {
        return;
    }
    let c = &theme.colour;
    let words = &answer.words.next;
    Frame::new()
        .fill(c.attention_wash)
        .stroke(Stroke::new(STRONG, c.attention))
        .corner_radius(CornerRadius::same(CARD_RADIUS))
        .inner_margin(Margin::symmetric(theme.size.card as i8, 10))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.spacing_mut().item_spacing = vec2(theme.size.gap, 5.0);
            let best = words.tests.first().filter(|_| advice.best == Best::Test);
            head_ui(ui, theme, best);
            text_ui(ui, &words.line, theme.title(), c.ink);
            match advice.tests.first().zip(best) {
                Some((test, told)) => best_ui(ui, theme, page, test, told, acts),
                None => {
                    opening_ui(ui, theme, words);
                    ui.horizontal_wrapped(|ui| {
                        let none = "Nothing found there";
                        if let Some(place) = advice.opening.first()
                            && button_ui(ui, theme, Tone::Plain, none, None).clicked()
                        {
                            let draft = LookDraft::of_opening(place);
                            acts.push(Act::Ask(Dialog::Looked(draft)));
                        }
                        if !words.tests.is_empty() {
                            switch_ui(ui, theme, page, acts);
                        }
                    });
                }
            }
            text_ui(ui, &words.reason, theme.label(), c.attention_text);
            if page.looks.others {
                others_ui(ui, theme, answer, words, acts);
            }
            reach_ui(ui, theme, page, acts);
        });
}

fn head_ui(ui: &mut Ui, theme: &Theme, best: Option<&TestWords>) {
    let c = &theme.colour;
    let target = ui.spacing().interact_size.y;
    ui.spacing_mut().interact_size.y = 18.0;
    ui.horizontal(|ui| {
        label_ui(ui, "Next test", theme.heading(), c.attention_text);
        if let Some(told) = best {
            let text = format!("{} · {}", told.minutes, told.narrows);
            fold_ui(ui, theme, &text, theme.label(), c.attention_text);
        }
    });
    ui.spacing_mut().interact_size.y = target;
}

fn best_ui(
    ui: &mut Ui,
    theme: &Theme,
    page: &Page<'_>,
    test: &Test,
    told: &TestWords,
    acts: &mut Vec<Act>,
) {
    ui.horizontal_wrapped(|ui| {
        do_ui(ui, theme, Tone::Primary, "Do it", told, test, acts);
        if let Asked::LookFor { part } = &test.asked
            && button_ui(ui, theme, Tone::Plain, "None found", None).clicked()
        {
            acts.push(none_found(part));
        }
        if let Asked::Check { connector } = &test.asked {
            for (word, unplugged) in [("plugged", false), ("unplugged", true)] {
                let text = format!("{connector} is {word}");
                if button_ui(ui, theme, Tone::Plain, &text, None).clicked() {
                    acts.push(Bench::Settle(connector.clone(), unplugged).into());
                }
            }
        }
        for part in touched(test) {
            let text = format!("Can\u{2019}t reach {part}");
            let hint = "Remembered for this job; the next best test takes its place";
            let button = button_ui(ui, theme, Tone::Plain, &text, None).on_hover_text(hint);
            if button.clicked() {
                acts.push(Bench::OutOfReach(part, true).into());
            }
        }
        switch_ui(ui, theme, page, acts);
    });
    outcomes_ui(ui, theme, told);
    for caution in &told.cautions {
        text_ui(ui, caution, theme.label(), theme.colour.attention_text);
    }
}

/// Shows or hides the other tests.
fn switch_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, acts: &mut Vec<Act>) {
    let (text, name, open) = if page.looks.others {
        ("Hide others", "Hide other tests", false)
    } else {
        ("Others", "Show me others", true)
    };
    if button_ui(ui, theme, Tone::Plain, text, Some(name)).clicked() {
        acts.push(Act::Others(open));
    }
}

/// Three columns: what it would show, how likely that is, what would remain.
fn outcomes_ui(ui: &mut Ui, theme: &Theme, told: &TestWords) {
    let c = &theme.colour;
    let left = (ui.available_width() * 0.34).min(190.0);
    const CHANCE: f32 = 38.0;
    for outcome in told.outcomes.iter().take(OUTCOMES) {
        ui.horizontal_top(|ui| {
            ui.spacing_mut().interact_size.y = 16.0;
            ui.allocate_ui(vec2(left, 16.0), |ui| {
                ui.set_width(left);
                text_ui(ui, &outcome.shows, theme.label_strong(), c.ink);
            });
            let figures = Layout::top_down(Align::Max);
            ui.allocate_ui_with_layout(vec2(CHANCE, 16.0), figures, |ui| {
                ui.set_width(CHANCE);
                label_ui(ui, &outcome.chance, theme.label(), c.muted);
            });
            ui.allocate_ui(vec2(ui.available_width(), 16.0), |ui| {
                text_ui(ui, &outcome.leaves, theme.label(), c.ink);
            });
        });
    }
}

fn opening_ui(ui: &mut Ui, theme: &Theme, words: &NextWords) {
    for (place, text) in (1..).zip(&words.opening).skip(1) {
        let line = format!("{place}. {text}");
        text_ui(ui, &line, theme.body(), theme.colour.ink);
    }
}

/// Sets the bench for a test and waits for its value.
fn do_ui(
    ui: &mut Ui,
    theme: &Theme,
    tone: Tone,
    text: &str,
    told: &TestWords,
    test: &Test,
    acts: &mut Vec<Act>,
) {
    let name = format!("{text}: {}", told.action);
    let hint = "Notes the plugs as the test wants them and waits for the value";
    let button = button_ui(ui, theme, tone, text, Some(&name)).on_hover_text(hint);
    if button.clicked() {
        acts.extend(steps_of(test));
    }
}

/// What accepting a test does.
pub fn steps_of(test: &Test) -> Vec<Act> {
    let mut acts: Vec<Act> = Vec::new();
    match &test.asked {
        Asked::Read { kind, red, black } => {
            acts.extend(begun(&test.state, *kind, (red, black), moved(test)));
        }
        // What is found is drawn on from there.
        Asked::LookFor { part } | Asked::Check { connector: part } => {
            acts.push(Screen::SelectPart(Some(part.clone())).into());
            acts.push(Act::Show(vec![Selected::Part(part.clone())]));
        }
    }
    acts
}

/// Sets the bench for a reading and waits for its value; its leads come in sight, with what else there is to reach for it.
pub fn begun(
    state: &State,
    kind: Kind,
    (red, black): (&Point, &Point),
    reached: Vec<Selected>,
) -> [Act; 4] {
    let leads = [red, black].map(|point| Selected::Point(point.clone()));
    [
        Bench::SetState(state.clone()).into(),
        Screen::BeginTest(kind, black.clone()).into(),
        Act::ReadAt(red.clone()),
        Act::Show(leads.into_iter().chain(reached).collect()),
    ]
}

/// What is plugged, unplugged or clipped on for a test.
fn moved(test: &Test) -> Vec<Selected> {
    let moved = test.moves.iter().filter_map(|step| match step {
        Move::Unplug(id) | Move::Plug(id) => Some(Selected::Part(id.clone())),
        Move::ClipOn(load) => Some(Selected::Point(load.from.clone())),
        Move::SupplyOff | Move::SupplyOn | Move::InSeries => None,
    });
    moved.collect()
}

/// Designations that have to be reached: what is plugged or unplugged first, then where it is read.
pub fn touched(test: &Test) -> Vec<String> {
    let mut parts: Vec<String> = Vec::new();
    let mut add = |part: &str| {
        if !parts.iter().any(|known| known == part) {
            parts.push(part.to_owned());
        }
    };
    for step in &test.moves {
        match step {
            Move::Unplug(id) | Move::Plug(id) => add(id),
            Move::ClipOn(load) => add(&load.from.part),
            Move::SupplyOff | Move::SupplyOn | Move::InSeries => {}
        }
    }
    match &test.asked {
        Asked::Read { red, .. } => add(&red.part),
        Asked::LookFor { part } | Asked::Check { connector: part } => add(part),
    }
    parts.truncate(2);
    parts
}

fn others_ui(ui: &mut Ui, theme: &Theme, answer: &Answer, words: &NextWords, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let tests = answer.findings.next.tests.iter().zip(&words.tests);
    let skipped = usize::from(answer.findings.next.best == Best::Test);
    for (rank, (test, told)) in (1..).zip(tests).skip(skipped).take(OTHERS) {
        ui.horizontal(|ui| {
            do_ui(ui, theme, Tone::Quiet, "Do", told, test, acts);
            ui.vertical(|ui| {
                ui.spacing_mut().item_spacing.y = 0.0;
                let line = format!("{rank}. {}", told.action);
                text_ui(ui, &line, theme.body(), c.ink);
                let figures = format!("{}, {}", told.minutes, told.narrows);
                text_ui(ui, &figures, theme.label(), c.attention_text);
                for caution in &told.cautions {
                    text_ui(ui, caution, theme.label(), c.attention_text);
                }
            });
        });
    }
    if words.tests.len() <= skipped {
        let none = "No other test within reach tells anything.";
        text_ui(ui, none, theme.body(), c.ink);
    }
}

/// What was noted as out of reach, to be taken back.
fn reach_ui(ui: &mut Ui, theme: &Theme, page: &Page<'_>, acts: &mut Vec<Act>) {
    if page.model.job.out_of_reach.is_empty() {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        for part in &page.model.job.out_of_reach {
            let text = format!("{part} can be reached");
            if button_ui(ui, theme, Tone::Quiet, &text, None).clicked() {
                acts.push(Bench::OutOfReach(part.clone(), false).into());
            }
        }
    });
}
