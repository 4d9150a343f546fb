//! The sign-off: what is still open beside it, and a signed record that shows that it is added to, not written over.

use egui::Ui;

use super::{
    Draft,
    lists::amendments_ui,
    rows::{day_ui, line_ui, lock},
};
use crate::{
    app::{Model, job::Piece, signed::refused_signature},
    notebook::record::{SignOff, doubts},
    report::{not_written, open_points},
    ui::{
        kit::{Field, card_ui, choose_all, field_ui, job_id, kept_ui, notice_ui, text_ui},
        theme::Theme,
    },
};

/// A card of the record; once that is signed nothing in it can be changed, and it says so.
pub fn written_ui(
    ui: &mut Ui,
    theme: &Theme,
    signed: bool,
    (title, beside): (&str, &str),
    content: &mut dyn FnMut(&mut Ui),
) {
    let beside = if signed {
        "signed: corrections are added at the top"
    } else {
        beside
    };
    card_ui(ui, theme, title, beside, |ui| {
        if signed {
            lock(ui);
        }
        content(ui);
    });
    ui.add_space(theme.size.gap);
}

/// Who signed, and what was added since.
pub fn signed_ui(ui: &mut Ui, theme: &Theme, model: &Model, draft: &mut Draft) {
    let sign = &draft.record.sign_off;
    let day = match sign.date.trim() {
        "" => String::new(),
        day => format!(" on {day}"),
    };
    let what = format!(
        "Signed by {}{day}: what is written stays as it is.",
        sign.by
    );
    let remedy =
        "Corrections are added here, and the report prints them with the day and the name.";
    notice_ui(ui, theme, &what, remedy);
    amendments_ui(ui, theme, draft, saved_additions(model));
}

/// Additions that are on disk.
fn saved_additions(model: &Model) -> usize {
    if model.saved.record.is_signed() {
        model.saved.record.amendments.len()
    } else {
        0
    }
}

/// What is open, and the signature.
pub fn sign_ui(ui: &mut Ui, theme: &Theme, model: &Model, draft: &mut Draft) {
    let c = &theme.colour;
    let signed = model.job.record.is_signed();
    let findings = model.answer.as_ref().map(|answer| &*answer.findings);
    let mut open = open_points(&model.job, findings);
    let missing = not_written(&model.job);
    if !missing.is_empty() {
        let missing = crate::app::words::list(&missing);
        open.push(format!("the record does not say {missing}"));
    }
    let doubts = doubts(&model.job.record).into_iter();
    open.extend(doubts.map(|doubt| format!("{}: {}. {}", doubt.place, doubt.what, doubt.remedy)));
    let head = match (open.is_empty(), signed) {
        (true, _) => "Nothing is open.",
        (false, true) => "Signed with this open, and the report says so:",
        (false, false) => "Open yet; the report names what is left open by whoever signs:",
    };
    text_ui(
        ui,
        head,
        theme.strong(),
        if open.is_empty() {
            c.healthy_text
        } else {
            c.attention_text
        },
    );
    for point in open {
        text_ui(ui, &format!("· {point}"), theme.body(), c.ink);
    }
    ui.horizontal_wrapped(|ui| {
        signed_by_ui(ui, theme, model, draft);
        signed_on_ui(ui, theme, model, draft);
        line_ui(
            ui,
            theme,
            draft,
            Piece::SignOff,
            "With the note",
            320.0,
            |d| Some(&mut d.record.sign_off.note),
        );
    });
    day_ui(ui, theme, &draft.record.sign_off.date);
    if !signed && !draft.record.amendments.is_empty() {
        let what = "Something was added after a sign-off, and nobody has signed since.";
        notice_ui(ui, theme, what, "");
        let saved = model.saved.record.amendments.len();
        amendments_ui(ui, theme, draft, saved);
    }
}

/// Whoever signs has typed the whole name: from then on the record stays as it is. A signature has a day, today where no
/// other was given, and goes with it.
fn signed_by_ui(ui: &mut Ui, theme: &Theme, model: &Model, draft: &mut Draft) {
    let field = Field {
        name: "Signed by",
        hint: "Enter signs",
        width: 220.0,
        ..Field::default()
    };
    let now = draft.record.sign_off.by.clone();
    let name = |text: &str| {
        let mut record = draft.record.clone();
        sign(&mut record.sign_off, text.trim(), &model.today);
        match refused_signature(model, record) {
            None => Ok(text.trim().to_owned()),
            Some(refusal) => Err(format!("{}. {}", refusal.what, refusal.remedy)),
        }
    };
    if let Some(by) = kept_ui(ui, theme, "sign-off", &now, &field, name) {
        sign(&mut draft.record.sign_off, &by, &model.today);
        draft.step(Piece::SignOff);
    }
}

/// Puts a name under the record, or takes it off.
fn sign(sign: &mut SignOff, by: &str, today: &str) {
    if !sign.by.trim().is_empty() && sign.by.trim() != by {
        sign.date.clear();
    }
    if !by.is_empty() && sign.date.trim().is_empty() {
        today.clone_into(&mut sign.date);
    }
    by.clone_into(&mut sign.by);
}

/// The day of the signature; today is proposed until another is typed.
fn signed_on_ui(ui: &mut Ui, theme: &Theme, model: &Model, draft: &mut Draft) {
    let id = job_id(ui, "Signed on");
    let typed = id.with("typed");
    let date = draft.record.sign_off.date.clone();
    let proposed = date.is_empty()
        && !draft.record.is_signed()
        && !ui.data(|data| data.get_temp(typed).unwrap_or(false));
    let mut text = if proposed { model.today.clone() } else { date };
    let field = Field {
        name: "Signed on",
        width: 140.0,
        id: Some(id),
        ..Field::default()
    };
    let response = field_ui(ui, theme, &mut text, &field);
    if proposed && (response.gained_focus() || response.clicked()) {
        choose_all(ui, &response, &text);
    }
    if response.changed() {
        draft.record.sign_off.date = text;
        ui.data_mut(|data| data.insert_temp(typed, true));
    }
    draft.note(Piece::SignOff, &response);
}
