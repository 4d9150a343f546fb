//! The answer: one sentence, who is suspected how much, and whether the module may be accused.

use egui::{
    Align2, Color32, CornerRadius, Rect, Sense, Ui, WidgetInfo, accesskit::Role, pos2, vec2,
};

use super::{
    draw::hatch_ui,
    page::{Bench, TALL},
};
use crate::{
    app::{
        Log, Screen,
        model::Answer,
        sums::Shown,
        view::{SuspectRow, in_order, suspects},
    },
    diagnosis::{Problem, Suspect},
    explain::{Torn, module, nothing_wrong},
    quantity::format::percent,
    ui::{
        act::Act,
        dialog::{Dialog, LookDraft},
        kit::{
            card_ui, focus_ring, fold_ui, label_ui, line_ui, named_link_ui, notice_ui, shortened,
            text_ui,
        },
        theme::Theme,
    },
};

/// Probability from which a repair of what the answer names is offered beside it; any part can be chosen for that.
const REPAIRABLE: f64 = 0.3;
/// Height of a suspect's row for gloved hands.
const GLOVE_ROW: f32 = 44.0;
/// Suspects shown one by one; the others are summed.
const SHOWN: usize = 3;
/// Probability under which a suspect after the first is summed with the others.
const WORTH_A_BAR: f64 = 0.01;
/// Probability under which a suspect's sum does not stand among the answer.
const WORTH_A_SUM: f64 = 0.2;
/// Probability under which the likeliest suspect is one of several.
pub const SURE: f64 = 0.8;

/// The card.
pub fn answer_ui(ui: &mut Ui, theme: &Theme, bench: &Bench<'_>, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let model = bench.model;
    card_ui(ui, theme, "", "", |ui| {
        let Some(answer) = &model.answer else {
            text_ui(ui, "Working it out …", theme.title(), c.muted);
            return;
        };
        let findings = answer.findings.as_ref();
        // While a gloved hand types on a low window, the next test has to stay in sight.
        let brief = bench.wants_pad() && ui.ctx().content_rect().height() < TALL;
        let said = &answer.words.headline;
        ui.scope(|ui| {
            ui.spacing_mut().item_spacing.y = 1.0;
            text_ui(ui, &said.what, theme.title(), c.ink);
            if !said.place.is_empty() {
                // One of several is no accusation yet.
                let ink = if said.settled { c.suspect_text } else { c.ink };
                text_ui(ui, &said.place, theme.title(), ink);
            }
        });
        if !said.detail.is_empty() {
            // Told in full where that does not push the next test out of sight.
            if ui.ctx().content_rect().height() < TALL - 20.0 {
                fold_ui(ui, theme, &said.detail, theme.label(), c.muted);
            } else {
                text_ui(ui, &said.detail, theme.label(), c.muted);
            }
        }
        if let Some(torn) = &answer.words.torn {
            torn_ui(ui, theme, torn, acts);
        }
        if model.is_busy() {
            label_ui(ui, "working it out anew …", theme.label(), c.attention_text);
        }
        if let Some(sum) = bench.sum.filter(|_| !bench.sum_at_log) {
            sum_line_ui(ui, theme, sum);
        }
        ui.scope(|ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            suspects_ui(ui, theme, answer, if brief { 1 } else { SHOWN }, acts);
        });
        // A reading that contradicts the rest may stand out of sight in the list.
        if let Some(said) = answer
            .words
            .lines
            .iter()
            .rev()
            .find_map(|line| line.mistake.as_ref())
        {
            fold_ui(ui, theme, said, theme.label_strong(), c.attention_text);
        }
        if brief {
            return;
        }
        let verdicts = findings.modules.iter().map(module::verdict);
        for said in verdicts.chain(findings.supplies.iter().filter_map(module::narrowed)) {
            fold_ui(ui, theme, &said, theme.label(), c.muted);
        }
        let mut named = findings.named();
        named.retain(|suspect| suspect.probability > REPAIRABLE);
        if !named.is_empty() {
            repaired_ui(ui, theme, &named, acts);
            looked_ui(ui, theme, &named, acts);
        }
        problems_ui(ui, theme, answer, acts);
    });
}

/// The end of the worked sum, which stands in full further down.
fn sum_line_ui(ui: &mut Ui, theme: &Theme, shown: Shown<'_>) {
    let Shown { sum, findings, .. } = shown;
    let last = sum.lines.iter().rev().find(|line| line.equation.is_some());
    let Some((suspect, last)) = sum.suspect.zip(last) else {
        return;
    };
    let Some(suspect) = findings.suspects.get(suspect) else {
        return;
    };
    if suspect.probability < WORTH_A_SUM {
        return;
    }
    let text = if suspect.probability < SURE {
        format!("If it is {}: {}", suspect.site.part, last.text)
    } else {
        last.text.clone()
    };
    let c = &theme.colour;
    let ink = if shown.current { c.ink } else { c.muted };
    fold_ui(ui, theme, &text, theme.label_strong(), ink);
}

fn suspects_ui(ui: &mut Ui, theme: &Theme, answer: &Answer, most: usize, acts: &mut Vec<Act>) {
    let findings = answer.findings.as_ref();
    if findings.suspects.is_empty() || findings.fit.readings == 0 {
        return;
    }
    let order = in_order(findings);
    let shown = order
        .iter()
        .take(most)
        .filter(|suspect| suspect.probability >= WORTH_A_BAR)
        .count()
        .max(1);
    for suspect in &suspects(answer, shown) {
        if bar_ui(ui, theme, suspect) {
            acts.push(Screen::SelectPart(Some(suspect.site.part.clone())).into());
        }
    }
    // Where faults are together, probabilities of the others add up to nothing that could be said.
    let rest: f64 = match findings.together() {
        Some(_) => 0.0,
        None => order.iter().skip(shown).map(|s| s.probability).sum(),
    };
    // A fault may be there with another, so that probabilities of single ones can come to more than all there is.
    let named: f64 = order.iter().take(shown).map(|s| s.probability).sum();
    let rest = rest.min((1.0 - named - findings.healthy - findings.unexplained).max(0.0));
    let others = [
        ("any other", rest),
        (nothing_wrong(findings), findings.healthy),
        ("nothing on this sketch", findings.unexplained),
    ];
    let others: Vec<String> = others
        .into_iter()
        .filter(|(_, probability)| *probability >= 0.005)
        .map(|(name, probability)| format!("{name} {}", percent(probability)))
        .collect();
    if !others.is_empty() {
        text_ui(ui, &others.join(" · "), theme.label(), theme.colour.ink);
    }
}

/// Ohms and place, as 90 % intervals.
fn particulars(suspect: &SuspectRow) -> String {
    let parts = [suspect.resistance.as_str(), suspect.position.as_str()];
    let parts: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    parts.join(" · ")
}

fn repaired_ui(ui: &mut Ui, theme: &Theme, named: &[&Suspect], acts: &mut Vec<Act>) {
    let target = ui.spacing().interact_size.y;
    // In a row as high as its links, so that the words stand on one line.
    ui.spacing_mut().interact_size.y = if target > 40.0 { target } else { 18.0 };
    ui.horizontal_wrapped(|ui| {
        label_ui(ui, "Repair made:", theme.label(), theme.colour.muted);
        for part in named.iter().map(|suspect| &suspect.site.part) {
            for (word, replaced) in [("repaired", false), ("replaced", true)] {
                let text = format!("{part} {word}");
                let name = format!("Note {part} as {word}");
                if named_link_ui(ui, theme, &text, &name).clicked() {
                    let log = Log::MarkRepaired {
                        part: part.clone(),
                        replaced,
                        note: String::new(),
                    };
                    acts.push(log.into());
                }
            }
        }
    });
    ui.spacing_mut().interact_size.y = target;
}

/// Nothing was found where a suspect is that the answer names.
fn looked_ui(ui: &mut Ui, theme: &Theme, named: &[&Suspect], acts: &mut Vec<Act>) {
    let target = ui.spacing().interact_size.y;
    ui.spacing_mut().interact_size.y = if target > 40.0 { target } else { 18.0 };
    ui.horizontal_wrapped(|ui| {
        label_ui(ui, "Looked there:", theme.label(), theme.colour.muted);
        for suspect in named {
            let part = &suspect.site.part;
            let text = match named {
                [_] => "nothing found".to_owned(),
                _ => format!("nothing found at {part}"),
            };
            let name = format!("Looked at {part}, nothing found");
            if named_link_ui(ui, theme, &text, &name).clicked() {
                let draft = LookDraft::of_suspect(suspect);
                acts.push(Act::Ask(Dialog::Looked(draft)));
            }
        }
    });
    ui.spacing_mut().interact_size.y = target;
}

/// A suspect: name and percent above a bar. Answers whether it was clicked.
fn bar_ui(ui: &mut Ui, theme: &Theme, suspect: &SuspectRow) -> bool {
    let c = &theme.colour;
    let (name, probability, top) = (&suspect.label, suspect.share, suspect.named);
    let particulars = particulars(suspect);
    let size = vec2(
        ui.available_width(),
        if theme.size.target > 40.0 {
            GLOVE_ROW
        } else {
            33.0
        },
    );
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let share = percent(probability);
    let named = if top { ", named by the answer" } else { "" };
    response.widget_info(|| {
        WidgetInfo::labeled(
            Role::Button,
            true,
            format!("Suspect {name}, {share} {particulars}{named}"),
        )
    });
    let painter = ui.painter();
    if response.hovered() {
        painter.rect_filled(rect.expand2(vec2(6.0, 0.0)), CornerRadius::same(4), c.band);
    }
    let baseline = rect.top() + 11.0;
    let number = painter.text(
        pos2(rect.right(), baseline),
        Align2::RIGHT_CENTER,
        &share,
        theme.strong(),
        c.ink,
    );
    let font = if top { theme.strong() } else { theme.body() };
    let galley = painter.layout_no_wrap(shortened(name, 44), font, c.ink);
    let at = pos2(rect.left(), baseline - galley.size().y / 2.0);
    let used = galley.size().x + 10.0;
    painter.galley(at, galley, c.ink);
    let galley = painter.layout_no_wrap(particulars, theme.small(), c.muted);
    if galley.size().x < number.left() - rect.left() - used - 8.0 {
        let at = pos2(rect.left() + used, baseline - galley.size().y / 2.0 + 1.0);
        painter.galley(at, galley, Color32::PLACEHOLDER);
    }
    let trough = Rect::from_min_size(
        pos2(rect.left(), rect.top() + 22.0),
        vec2(rect.width(), 9.0),
    );
    painter.rect_filled(trough, CornerRadius::ZERO, c.trough);
    let filled = trough.width() * (probability.clamp(0.0, 1.0) as f32).max(0.004);
    let bar = Rect::from_min_size(trough.min, vec2(filled, trough.height()));
    if top {
        hatch_ui(painter, bar, c.suspect_wash, c.suspect);
        painter.rect_stroke(
            bar,
            CornerRadius::ZERO,
            egui::Stroke::new(1.5, c.suspect),
            egui::StrokeKind::Inside,
        );
    } else {
        painter.rect_filled(bar, CornerRadius::ZERO, c.bar);
    }
    focus_ring(ui, theme, &response, rect);
    response.clicked()
}

/// That the sketch is in pieces; pressing it chooses the first part that nothing feeds.
fn torn_ui(ui: &mut Ui, theme: &Theme, torn: &Torn, acts: &mut Vec<Act>) {
    let notice = ui.scope(|ui| notice_ui(ui, theme, &torn.what, torn.remedy));
    if notice.response.interact(Sense::CLICK).clicked() {
        let first = torn.parts.first().cloned();
        acts.push(Screen::SelectPart(first).into());
    }
}

/// Trouble with the sketch; pressing a line chooses the part. What stops the answer is told in full; the rest must not
/// push the next test out of sight.
fn problems_ui(ui: &mut Ui, theme: &Theme, answer: &Answer, acts: &mut Vec<Act>) {
    let torn = answer.words.torn.as_ref();
    let told = |problem: &&Problem| torn.is_some_and(|torn| torn.parts.contains(&problem.place));
    let ink = theme.colour.attention_text;
    let said = |problem: &Problem| {
        let (place, what, remedy) = (&problem.place, &problem.what, &problem.remedy);
        format!("{place}: {what}. {remedy}")
    };
    let problems = answer.findings.problems.iter();
    let (fatal, mut lesser): (Vec<_>, Vec<_>) = problems.partition(|p| p.fatal);
    lesser.retain(|problem| !told(problem));
    let mut pressed = None;
    for problem in fatal.iter().take(3) {
        let line = text_ui(ui, &said(problem), theme.label(), ink);
        if line.interact(Sense::CLICK).clicked() {
            pressed = Some(problem.place.clone());
        }
    }
    if let Some(first) = lesser.first() {
        let more = match lesser.len() {
            1 => String::new(),
            all => format!("{all} remarks. "),
        };
        let all: Vec<String> = lesser.iter().map(|problem| said(problem)).collect();
        let line = format!("{more}{}", all[0]);
        let line = line_ui(ui, &line, theme.label(), ink).on_hover_text(all.join("\n"));
        if line.interact(Sense::CLICK).clicked() {
            pressed = Some(first.place.clone());
        }
    }
    acts.extend(pressed.map(|part| Screen::SelectPart(Some(part)).into()));
}
