//! The cards of the page, in the order of the work: what was found and done, then what shows it.

use egui::Ui;

use super::{
    Draft,
    disturbed::disturbed_ui,
    lists::{checks_ui, codes_ui, modules_ui, parts_ui},
    photos::photos_ui,
    rows::{block_ui, day_ui, line_ui},
    sign::{sign_ui, signed_ui, written_ui},
    thumbs::Thumbs,
    work::{follow_up_ui, work_ui},
};
use crate::{
    app::{
        Command, FileCommand, Model, Note,
        command::Field as Text,
        job::Piece,
        view::{Sort, log_rows},
    },
    diagnosis::proof::Verdict,
    explain::proof_words,
    notebook::record::{Identity, Mileage, identity},
    quantity::{Unit, typed_number, units},
    report::Form,
    ui::{
        act::Act,
        dialog::{Dialog, PathAsk},
        kit::{
            Field, Tone, button_ui, card_ui, field_ui, job_id, kept_ui, notice_ui, text_block_ui,
            text_ui,
        },
        theme::Theme,
    },
};

/// From the request to what was found and done.
pub fn found_ui(ui: &mut Ui, theme: &Theme, model: &Model, draft: &mut Draft, acts: &mut Vec<Act>) {
    let job = &model.job;
    let card = |ui: &mut Ui, title: &str, beside: &str, content: &mut dyn FnMut(&mut Ui)| {
        written_ui(ui, theme, job.record.is_signed(), (title, beside), content);
    };
    if job.record.is_signed() {
        card_ui(ui, theme, "Signed", "", |ui| {
            signed_ui(ui, theme, model, draft)
        });
        ui.add_space(theme.size.gap);
    }
    card(ui, "The job", "", &mut |ui| {
        job_line_ui(ui, theme, "Vehicle", Text::Vehicle, &job.vehicle, acts);
        job_line_ui(ui, theme, "Job title", Text::Title, &job.title, acts);
        job_line_ui(ui, theme, "Shop", Text::Shop, &job.shop, acts);
        ui.horizontal_wrapped(|ui| {
            line_ui(ui, theme, draft, Piece::Particulars, "Date", 160.0, |d| {
                Some(&mut d.record.date)
            });
            line_ui(
                ui,
                theme,
                draft,
                Piece::Particulars,
                "Technician",
                240.0,
                |d| Some(&mut d.record.technician),
            );
        });
        day_ui(ui, theme, &draft.record.date);
    });
    card(ui, "The vehicle", "", &mut |ui| {
        vehicle_ui(ui, theme, draft)
    });
    card(ui, "Request", "in the caller's words", &mut |ui| {
        job_block_ui(ui, theme, "Request", Text::Request, &job.request, 3, acts);
    });
    card(ui, "Arrival", "before anything was touched", &mut |ui| {
        block_ui(
            ui,
            theme,
            draft,
            Piece::Arrival,
            "Arrival findings",
            3,
            |d| &mut d.record.arrival,
        );
    });
    card(ui, "What was disturbed", "", &mut |ui| {
        disturbed_ui(ui, theme, model, acts)
    });
    card(ui, "Codes", "at arrival and after the work", &mut |ui| {
        codes_ui(ui, theme, draft)
    });
    card(
        ui,
        "Modules that answer",
        "at arrival and after the work",
        &mut |ui| modules_ui(ui, theme, draft),
    );
    card(ui, "Cause and correction", "", &mut |ui| {
        block_ui(ui, theme, draft, Piece::Outcome, "Cause", 2, |d| {
            &mut d.record.cause
        });
        block_ui(ui, theme, draft, Piece::Outcome, "Correction", 2, |d| {
            &mut d.record.correction
        });
        block_ui(ui, theme, draft, Piece::Outcome, "What remains", 2, |d| {
            &mut d.record.remains
        });
    });
}

/// From the proof to the report.
pub fn done_ui(
    ui: &mut Ui,
    theme: &Theme,
    (model, thumbs): (&Model, &Thumbs),
    draft: &mut Draft,
    acts: &mut Vec<Act>,
) {
    let job = &model.job;
    let card = |ui: &mut Ui, title: &str, beside: &str, content: &mut dyn FnMut(&mut Ui)| {
        written_ui(ui, theme, job.record.is_signed(), (title, beside), content);
    };
    card_ui(ui, theme, "Proof of the repair", "", |ui| {
        proof_ui(ui, theme, model)
    });
    ui.add_space(theme.size.gap);
    card(ui, "Parts", "", &mut |ui| parts_ui(ui, theme, draft));
    card(ui, "Time", "step by step", &mut |ui| {
        work_ui(ui, theme, draft)
    });
    card(
        ui,
        "Follow-up work",
        "programming, set-up, calibration",
        &mut |ui| follow_up_ui(ui, theme, draft),
    );
    card(ui, "Functional check", "", &mut |ui| {
        checks_ui(ui, theme, draft)
    });
    card_ui(ui, theme, "Photos", "", |ui| {
        photos_ui(ui, theme, (model, thumbs), draft, acts)
    });
    ui.add_space(theme.size.gap);
    card_ui(ui, theme, "Timeline", "from the log", |ui| {
        timeline_ui(ui, theme, model)
    });
    ui.add_space(theme.size.gap);
    card(ui, "Notes", "", &mut |ui| {
        job_block_ui(ui, theme, "Notes", Text::Notes, &job.notes, 6, acts);
    });
    card_ui(ui, theme, "Sign-off", "", |ui| {
        sign_ui(ui, theme, model, draft)
    });
    ui.add_space(theme.size.gap);
    card_ui(
        ui,
        theme,
        "Report",
        "for the shop, the insurer and yourself",
        |ui| {
            ui.horizontal_wrapped(|ui| {
                for (form, words) in [
                    (Form::Pdf, "Write the report (PDF)"),
                    (Form::Html, "Write the report (HTML)"),
                    (Form::Csv, "Write the log (CSV)"),
                ] {
                    if button_ui(ui, theme, Tone::Plain, words, None).clicked() {
                        acts.push(FileCommand::Report(form).into());
                    }
                }
                let pack = button_ui(
                    ui,
                    theme,
                    Tone::Quiet,
                    "Pack as one file",
                    Some("Pack this job"),
                );
                if pack
                    .on_hover_text("The saved job with its photos, to be sent or put away")
                    .clicked()
                {
                    acts.push(match &model.path {
                        Some(file) => {
                            let to = file.with_extension("zip").display().to_string();
                            Act::Ask(Dialog::path(PathAsk::Pack(file.clone()), to))
                        }
                        None => Act::AskWhereToSave,
                    });
                }
            });
        },
    );
}

fn vehicle_ui(ui: &mut Ui, theme: &Theme, draft: &mut Draft) {
    ui.horizontal_wrapped(|ui| {
        line_ui(
            ui,
            theme,
            draft,
            Piece::Vehicle,
            "Identification number",
            260.0,
            |d| Some(&mut d.record.vehicle.identification),
        );
        line_ui(ui, theme, draft, Piece::Vehicle, "Plate", 140.0, |d| {
            Some(&mut d.record.vehicle.plate)
        });
        let vehicle = &mut draft.record.vehicle;
        let (now, unit) = match vehicle.mileage {
            None => (String::new(), "km"),
            Some(Mileage::Kilometres(count)) => (count.to_string(), "km"),
            Some(Mileage::Miles(count)) => (count.to_string(), "miles"),
        };
        let field = Field {
            name: "Mileage",
            unit,
            width: 160.0,
            ..Field::default()
        };
        let mut changed = false;
        if let Some(mileage) = kept_ui(ui, theme, "mileage", &now, &field, |text| {
            mileage(text, vehicle.mileage)
        }) {
            vehicle.mileage = mileage;
            changed = true;
        }
        let now = vehicle
            .battery
            .map_or_else(String::new, |v| (units::as_volts(v) + 0.0).to_string());
        let field = Field {
            name: "Battery at arrival",
            unit: "V",
            width: 160.0,
            ..Field::default()
        };
        if let Some(volts) = kept_ui(ui, theme, "battery", &now, &field, battery) {
            vehicle.battery = volts.map(units::volts);
            changed = true;
        }
        if changed {
            draft.step(Piece::Vehicle);
        }
    });
    let doubt = match identity(&draft.record.vehicle.identification) {
        Identity::Missing | Identity::Fits => return,
        Identity::OtherForm(why) => {
            format!("The identification number has not the form of ISO 3779: {why}.")
        }
        Identity::CheckDigit { given, fits } => {
            format!(
                "The check digit of the identification number is {given}, and {fits} would fit."
            )
        }
    };
    notice_ui(
        ui,
        theme,
        &doubt,
        "Compare it with the plate. Not every market uses this form or a check digit.",
    );
}

/// `84210`, `84 210 km`, `52,300 miles`; nothing for none. Figures alone have the unit that stands there.
fn mileage(text: &str, now: Option<Mileage>) -> Result<Option<Mileage>, String> {
    let text = text.trim().to_lowercase();
    let end = text.find(char::is_alphabetic).unwrap_or(text.len());
    let (figures, unit) = text.split_at(end);
    let miles = match unit.trim_end_matches(['.', ' ']) {
        "" => matches!(now, Some(Mileage::Miles(_))),
        "mi" | "mile" | "miles" => true,
        "km" | "kilometres" | "kilometers" => false,
        _ => return Err("type the figures, with km or miles behind them".to_owned()),
    };
    if text.is_empty() {
        return Ok(None);
    }
    let mut groups = figures
        .trim()
        .split([' ', ',', '.', '\'', '’', '\u{a0}', '\u{202f}']);
    let first = groups.next().unwrap_or_default();
    let mut count = first.to_owned();
    for group in groups {
        // Behind a comma or point stand thousands, or else tenths, which would make it ten times as much.
        if group.len() != 3 || first.len() > 3 {
            return Err("type whole kilometres or miles, without tenths".to_owned());
        }
        count.push_str(group);
    }
    let count: u32 = count
        .parse()
        .map_err(|_| "type the figures, with km or miles behind them".to_owned())?;
    Ok(Some(if miles {
        Mileage::Miles(count)
    } else {
        Mileage::Kilometres(count)
    }))
}

fn battery(text: &str) -> Result<Option<f64>, String> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    typed_number(text, Unit::Volts)
        .map(Some)
        .map_err(|error| error.to_string())
}

fn proof_ui(ui: &mut Ui, theme: &Theme, model: &Model) {
    let c = &theme.colour;
    let found = model.answer.as_ref().and_then(|answer| {
        let words = proof_words(&answer.job.question(), &answer.findings)?;
        Some((words, answer.findings.proof.as_ref()?.verdict))
    });
    let Some((words, verdict)) = found else {
        let text = "Nothing was repaired yet. Mark a suspect as repaired on the bench, then read what must read right.";
        text_ui(ui, text, theme.body(), c.muted);
        return;
    };
    let ink = match verdict {
        Verdict::Proved => c.healthy_text,
        Verdict::PartlyProved => c.attention_text,
        Verdict::NotProved => c.suspect_text,
    };
    text_ui(
        ui,
        &format!("{}: {}", words.verdict, words.detail),
        theme.strong(),
        ink,
    );
    for line in words.lines {
        let (mark, ink) = match line.right {
            Some(true) => ("✓", c.healthy_text),
            Some(false) => ("×", c.suspect_text),
            None => ("·", c.ink),
        };
        let reads = if line.reads.is_empty() {
            "not read yet".to_owned()
        } else {
            format!("reads {}", line.reads)
        };
        let text = format!(
            "{mark} {}, {}: should read {}, {reads} ({})",
            line.point, line.state, line.should_read, line.why
        );
        text_ui(ui, &text, theme.body(), ink);
    }
}

fn timeline_ui(ui: &mut Ui, theme: &Theme, model: &Model) {
    let rows = log_rows(model);
    if rows.is_empty() {
        text_ui(
            ui,
            "Nothing was read yet.",
            theme.body(),
            theme.colour.muted,
        );
    }
    for row in rows {
        let what = match row.sort {
            Sort::Repair => format!("{} {}", row.point, row.reads),
            Sort::Look => format!("looked at {}: {}", row.point, row.reads),
            Sort::Reading => format!("{}, {}: reads {}", row.point, row.state, row.reads),
        };
        let note = if row.note.is_empty() {
            String::new()
        } else {
            format!(" ({})", row.note)
        };
        let aside = if row.set_aside { ", set aside" } else { "" };
        let ink = if row.set_aside {
            theme.colour.muted
        } else {
            theme.colour.ink
        };
        text_ui(
            ui,
            &format!("{}. {what}{aside}{note}", row.entry + 1),
            theme.body(),
            ink,
        );
    }
}

fn job_line_ui(
    ui: &mut Ui,
    theme: &Theme,
    name: &str,
    which: Text,
    now: &str,
    acts: &mut Vec<Act>,
) {
    let mut text = now.to_owned();
    let field = Field {
        name,
        id: Some(job_id(ui, name)),
        ..Field::default()
    };
    let response = field_ui(ui, theme, &mut text, &field);
    note(&response, which, text, now, acts);
}

fn job_block_ui(
    ui: &mut Ui,
    theme: &Theme,
    name: &str,
    which: Text,
    now: &str,
    rows: usize,
    acts: &mut Vec<Act>,
) {
    let mut text = now.to_owned();
    let field = Field {
        name,
        bare: true,
        id: Some(job_id(ui, name)),
        ..Field::default()
    };
    let response = text_block_ui(ui, theme, &mut text, rows, &field);
    note(&response, which, text, now, acts);
}

/// Every keystroke is kept; one stay in the field is one step.
fn note(response: &egui::Response, which: Text, text: String, now: &str, acts: &mut Vec<Act>) {
    if response.changed() && text != now {
        acts.push(Note::Set(which, text).into());
    }
    if response.lost_focus() {
        acts.push(Act::Do(Command::EndGesture));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mileage_is_read_as_people_write_it() {
        for (text, mileage_is) in [
            ("", Ok(None)),
            ("84210", Ok(Some(Mileage::Kilometres(84_210)))),
            ("84 210 km", Ok(Some(Mileage::Kilometres(84_210)))),
            ("52,300 miles", Ok(Some(Mileage::Miles(52_300)))),
            ("52'300 mi.", Ok(Some(Mileage::Miles(52_300)))),
        ] {
            assert_eq!(mileage(text, None), mileage_is, "{text}");
        }
        for text in [
            "many",
            "-5",
            "99999999999",
            "km",
            "84210.5",
            "84210,50 km",
            "84,21",
            "1 2 3",
            "84210 stone",
        ] {
            assert!(mileage(text, None).is_err(), "{text}");
        }
        // Common practice, no source: whoever corrects a figure means the unit that stands beside it.
        let miles = Some(Mileage::Miles(52_300));
        assert_eq!(mileage("52301", miles), Ok(Some(Mileage::Miles(52_301))));
        let kilometres = Ok(Some(Mileage::Kilometres(84_000)));
        assert_eq!(mileage("84000 km", miles), kilometres);
    }
}
