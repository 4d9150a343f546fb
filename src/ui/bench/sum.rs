//! The worked sum, line by line.

use egui::{FontId, ScrollArea, Ui};

use super::answer::SURE;
use crate::{
    app::sums::Shown,
    explain::{SumLine, names, nothing_wrong},
    quantity::format::percent,
    ui::{
        kit::{card_ui, label_ui, line_ui, text_ui},
        theme::Theme,
    },
};

const TITLE: &str = "The sum behind it";
/// Stands beside the title while the next sum is worked on.
const WORKING: &str = "working …";
/// Height from which the lines are as large as other text.
const ROOMY: f32 = 200.0;

/// A card of its own; nothing where there is nothing to reckon.
pub fn sum_ui(ui: &mut Ui, theme: &Theme, shown: Shown<'_>) {
    if shown.sum.lines.is_empty() {
        return;
    }
    let (told, mut beside) = of_what(shown);
    if !shown.current {
        beside = format!("{WORKING} · {beside}");
    }
    card_ui(ui, theme, TITLE, &beside, |ui| {
        lines_ui(ui, theme, shown, (&told, theme.body(), theme.strong()));
    });
}

/// The same without a card beside the log: title and lines, smaller where there is little room. The reading from which
/// it starts is then left to the log.
pub fn sum_beside_ui(ui: &mut Ui, theme: &Theme, shown: Shown<'_>) {
    let Shown { sum, findings, .. } = shown;
    if sum.lines.is_empty() {
        return;
    }
    let c = &theme.colour;
    let (told, beside) = of_what(shown);
    let suspect = sum.suspect.and_then(|index| findings.suspects.get(index));
    let unsettled = suspect.filter(|suspect| suspect.probability < SURE);
    let (beside, ink) = match unsettled {
        Some(suspect) => (
            format!("if {beside} ({})", percent(suspect.probability)),
            c.attention_text,
        ),
        None => (beside, c.muted),
    };
    let (beside, ink) = if shown.current {
        (beside, ink)
    } else {
        (format!("{WORKING} · {beside}"), c.attention_text)
    };
    ui.scope(|ui| {
        ui.spacing_mut().interact_size.y = 20.0;
        ui.horizontal(|ui| {
            label_ui(ui, TITLE, theme.heading(), c.ink);
            line_ui(ui, &beside, theme.label(), ink).on_hover_text(&beside);
        });
    });
    let roomy = ui.available_height() > ROOMY && unsettled.is_none();
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        if roomy {
            lines_ui(ui, theme, shown, (&told, theme.body(), theme.strong()));
            return;
        }
        let reading = sum.entry.map(|entry| format!("Reading {}, ", entry + 1));
        let told = |line: &&SumLine| !reading.as_ref().is_some_and(|r| line.text.starts_with(r));
        let lines: Vec<&SumLine> = sum.lines.iter().filter(told).collect();
        let fonts = (theme.label(), theme.label_strong());
        steps_ui(ui, theme, &lines, fonts, shown.current);
    });
}

/// Whose sum it is, and the same with the line that it starts from.
fn of_what(Shown { sum, findings, .. }: Shown<'_>) -> (String, String) {
    let suspect = sum.suspect.and_then(|index| findings.suspects.get(index));
    let told = suspect.map_or_else(
        || nothing_wrong(findings).to_owned(),
        |suspect| names::accusation(&suspect.site, suspect.kind),
    );
    let mut beside = told.clone();
    if let Some(entry) = sum.entry {
        beside.push_str(&format!(", line {}", entry + 1));
    }
    (told, beside)
}

fn lines_ui(
    ui: &mut Ui,
    theme: &Theme,
    shown: Shown<'_>,
    (told, font, result): (&str, FontId, FontId),
) {
    let Shown { sum, findings, .. } = shown;
    let c = &theme.colour;
    ui.spacing_mut().item_spacing.y = 3.0;
    let suspect = sum.suspect.and_then(|index| findings.suspects.get(index));
    if let Some(suspect) = suspect.filter(|suspect| suspect.probability < SURE) {
        let share = percent(suspect.probability);
        let text = format!("Not settled yet. If it is {told} ({share} likely):");
        text_ui(ui, &text, font.clone(), c.attention_text);
    }
    let lines: Vec<&SumLine> = sum.lines.iter().collect();
    steps_ui(ui, theme, &lines, (font, result), shown.current);
}

/// The lines, the last equation in the second font; muted while the next sum is worked on.
fn steps_ui(
    ui: &mut Ui,
    theme: &Theme,
    lines: &[&SumLine],
    (font, strong): (FontId, FontId),
    current: bool,
) {
    let c = &theme.colour;
    ui.spacing_mut().item_spacing.y = 3.0;
    let result = lines.iter().rposition(|line| line.equation.is_some());
    for (index, line) in lines.iter().enumerate() {
        let ink = if line.equation.is_some() && current {
            c.ink
        } else {
            c.muted
        };
        let font = if Some(index) == result {
            strong.clone()
        } else {
            font.clone()
        };
        text_ui(ui, &line.text, font, ink);
    }
}
