//! The sketch as indented lines, to be written without the mouse; drawing and lines are two views of one thing.

use std::sync::Arc;

use egui::{
    Event, FontId, Id, Key, Modifiers, ScrollArea, TextBuffer, TextEdit, Ui,
    text::{CCursor, CCursorRange, LayoutJob},
    text_edit::{TextEditOutput, TextEditState},
};

use crate::{
    app::{
        Command, Model, Sketch,
        outline_help::{Pasted, indent, lines, pasted, proposals, word_at},
    },
    circuit::outline::outline,
    notebook::Job,
    ui::{
        act::Act,
        commands::Do,
        dialog::Dialog,
        kit::{Tone, button_ui, job_id, label_ui, shown, text_ui},
        theme::{STRONG, Theme},
    },
};

/// The keys that take the first proposal.
const TAKE: (Modifiers, Key) = (Modifiers::COMMAND, Key::Space);

fn edit_id(ui: &Ui) -> Id {
    job_id(ui, "outline editor")
}

fn draft_id(ui: &Ui) -> Id {
    job_id(ui, "outline draft")
}

/// The text as it is typed, which need not be how the circuit would be written.
#[derive(Clone)]
struct Draft {
    text: String,
    /// The job with this text taken over, or as it was where it could not be; known in the frame after the typing.
    job: Option<Arc<Job>>,
}

/// What is being typed, until the job is changed by something else: taking steps back reaches the text too.
fn draft(ui: &Ui, model: &Model) -> Option<String> {
    let id = draft_id(ui);
    let draft: Draft = ui.data(|data| data.get_temp(id))?;
    let job = draft.job.unwrap_or_else(|| Arc::clone(&model.job));
    if !Arc::ptr_eq(&job, &model.job) {
        ui.data_mut(|data| data.remove::<Draft>(id));
        return None;
    }
    let text = draft.text.clone();
    let job = Some(job);
    ui.data_mut(|data| data.insert_temp(id, Draft { job, ..draft }));
    Some(text)
}

/// The text, taken over as it is typed.
pub fn outline_ui(ui: &mut Ui, theme: &Theme, model: &Model, acts: &mut Vec<Act>) {
    if let Some(error) = &model.outline_error {
        let text = format!("{}: {}; {}", error.place, error.what, error.remedy);
        text_ui(ui, &text, theme.label_strong(), theme.colour.attention_text);
    }
    let mut text = draft(ui, model).unwrap_or_else(|| outline(&model.job.circuit));
    let (edit_id, draft_id) = (edit_id(ui), draft_id(ui));
    let focused = ui.memory(|memory| memory.has_focus(edit_id));
    let mut changed = focused && paste_list(ui, model, &mut text, acts);
    let taken = focused && proposals_ui(ui, theme, model, &mut text);
    changed |= taken;
    ScrollArea::both()
        .auto_shrink(false)
        .max_height((ui.available_height() - 4.0).max(3.0 * theme.size.row))
        .show(ui, |ui| {
            let mut lay = layouter(theme.body(), theme);
            let output = TextEdit::multiline(&mut text)
                .id(edit_id)
                .frame(egui::Frame::NONE)
                .desired_width(f32::INFINITY)
                .min_size(ui.available_size())
                .lock_focus(false)
                .layouter(&mut lay)
                .show(ui);
            wrong_line_ui(ui, theme, model, &output);
            let response = output
                .response
                .response
                .accessible_name("Outline of the circuit");
            if response.changed() {
                changed = true;
                indent_line(ui, &mut text);
            }
            if changed {
                acts.push(Sketch::SetOutline(text.clone()).into());
                ui.data_mut(|data| data.insert_temp(draft_id, Draft { text, job: None }));
            }
            if taken {
                // The press beside the text has taken the keyboard from it.
                ui.memory_mut(|memory| memory.request_focus(edit_id));
            } else if response.lost_focus() {
                ui.data_mut(|data| data.remove::<Draft>(draft_id));
                acts.push(Act::Do(Command::EndGesture));
            }
        });
}

/// The place of the cursor in bytes, while nothing is selected.
fn cursor(ui: &Ui, text: &str) -> Option<usize> {
    let state = TextEditState::load(ui.ctx(), edit_id(ui))?;
    let range = state.cursor.char_range()?;
    let index = range.single()?.index.0;
    Some(
        text.char_indices()
            .nth(index)
            .map_or(text.len(), |(at, _)| at),
    )
}

/// Puts the cursor to a place in bytes.
fn set_cursor(ui: &Ui, text: &str, at: usize) {
    if let Some(mut state) = TextEditState::load(ui.ctx(), edit_id(ui)) {
        let index = text.get(..at).map_or(0, |before| before.chars().count());
        let range = CCursorRange::one(CCursor::new(index));
        state.cursor.set_char_range(Some(range));
        state.store(ui.ctx(), edit_id(ui));
    }
}

/// What could come next; a press or Ctrl+Space takes it. Answers whether one was taken.
fn proposals_ui(ui: &mut Ui, theme: &Theme, model: &Model, text: &mut String) -> bool {
    let Some(at) = cursor(ui, text) else {
        return false;
    };
    let proposals = proposals(&model.job.circuit, text, at);
    let typed = word_at(text, at).len();
    let mut taken = None;
    if ui.input_mut(|input| input.consume_key(TAKE.0, TAKE.1)) {
        taken = proposals.first();
    }
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        label_ui(ui, "Ctrl+Space:", theme.label(), theme.colour.muted);
        for proposal in &proposals {
            let name = format!("Write {}, {}", proposal.word, proposal.what);
            let button = button_ui(ui, theme, Tone::Quiet, &proposal.word, Some(&name));
            if button.on_hover_text(&proposal.what).clicked() {
                taken = Some(proposal);
            }
        }
    });
    let Some(taken) = taken else {
        return false;
    };
    let word = format!("{} ", taken.word);
    text.replace_range(at - typed..at, &word);
    set_cursor(ui, text, at - typed + word.len());
    true
}

/// Begins a new line where the part above it can carry it.
fn indent_line(ui: &Ui, text: &mut String) {
    let Some(at) = cursor(ui, text).filter(|at| text[..*at].ends_with('\n')) else {
        return;
    };
    let pressed = ui.input(|input| input.key_pressed(Key::Enter));
    let blanks = indent(text, at);
    if pressed && !blanks.is_empty() {
        text.insert_str(at, &blanks);
        set_cursor(ui, text, at + blanks.len());
    }
}

/// Rows of a spreadsheet become lines at the cursor; where one tells nothing but a name, it is asked first whether they
/// are sensors at all. Answers whether there were any.
fn paste_list(ui: &Ui, model: &Model, text: &mut String, acts: &mut Vec<Act>) -> bool {
    let Some(at) = cursor(ui, text) else {
        return false;
    };
    let events = ui.input(|input| input.events.clone());
    let tabbed = events
        .into_iter()
        .enumerate()
        .find_map(|event| match event {
            (place, Event::Paste(text)) if text.contains('\t') => Some((place, text)),
            _ => None,
        });
    let Some((place, list)) = tabbed else {
        return false;
    };
    let circuit = &model.job.circuit;
    let becomes = pasted(text, at, &list, circuit.nominal_or_5());
    if becomes == Pasted::Outline {
        return false;
    }
    ui.input_mut(|input| input.events.remove(place));
    let Pasted::Rows(rows) = becomes else {
        if let Some(Act::Ask(Dialog::List { after, .. })) =
            Do::AddList.act_on(circuit, &model.selection)
        {
            acts.push(Act::Ask(Dialog::list(after, list)));
        }
        return false;
    };
    let line = text[..at].rfind('\n').map_or(0, |end| end + 1);
    let blanks = text[line..at].trim().is_empty();
    let indent = if blanks {
        text[line..at].to_owned()
    } else {
        let with_end = format!("{}\n", &text[..at]);
        indent(&with_end, with_end.len())
    };
    let lines = lines(circuit, text, &indent, &rows);
    let (from, lines) = if blanks {
        (line, lines)
    } else {
        (at, format!("\n{lines}"))
    };
    text.replace_range(from..at, &lines);
    set_cursor(ui, text, from + lines.len());
    true
}

/// Marks the line that could not be taken, with the reason behind its end.
fn wrong_line_ui(ui: &Ui, theme: &Theme, model: &Model, output: &TextEditOutput) {
    let c = &theme.colour;
    let Some(error) = &model.outline_error else {
        return;
    };
    let number = error
        .place
        .strip_prefix("line ")
        .and_then(|n| n.parse::<usize>().ok());
    // Lines do not wrap, so every line is a row.
    let row = number.and_then(|number| output.galley.rows.get(number.checked_sub(1)?));
    let Some(row) = row else {
        return;
    };
    let rect = row.rect().translate(output.galley_pos.to_vec2());
    let stroke = egui::Stroke::new(STRONG, c.attention);
    let painter = ui.painter();
    painter.line_segment([rect.left_bottom(), rect.right_bottom()], stroke);
    painter.text(
        rect.right_center() + egui::vec2(16.0, 0.0),
        egui::Align2::LEFT_CENTER,
        shown(&error.what),
        theme.label_strong(),
        c.attention_text,
    );
}

fn layouter(
    font: FontId,
    theme: &Theme,
) -> impl FnMut(&Ui, &dyn TextBuffer, f32) -> std::sync::Arc<egui::Galley> {
    let ink = theme.colour.ink;
    move |ui, text, _wrap| {
        // Line ends must stay; everything else that steers is shown as a mark.
        let lines: Vec<_> = text.as_str().split('\n').map(shown).collect();
        let job = LayoutJob::simple(lines.join("\n"), font.clone(), ink, f32::INFINITY);
        ui.fonts_mut(|fonts| fonts.layout_job(job))
    }
}
