//! Every command, found by any word; Enter does it.

use egui::{Key, ScrollArea, Sense, Ui, WidgetInfo, accesskit::Role, pos2, vec2};

use crate::{
    app::Model,
    ui::{
        act::Act,
        bench::Looks,
        commands::Do,
        kit::{Field, field_ui, focus_ring, text_ui},
        theme::Theme,
    },
};

/// The search box and what it finds.
pub fn commands_ui(
    ui: &mut Ui,
    theme: &Theme,
    model: &Model,
    looks: &Looks,
    (text, chosen): (&mut String, &mut usize),
    acts: &mut Vec<Act>,
) {
    let c = &theme.colour;
    let field = Field {
        name: "Search the commands",
        hint: "what do you want to do?",
        ..Field::default()
    };
    let step = ui.input_mut(|input| {
        let down = input.consume_key(egui::Modifiers::NONE, Key::ArrowDown);
        let up = input.consume_key(egui::Modifiers::NONE, Key::ArrowUp);
        i32::from(down) - i32::from(up)
    });
    let response = field_ui(ui, theme, text, &field);
    if response.changed() {
        *chosen = 0;
    }
    let entered = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
    if !response.has_focus() && !entered {
        response.request_focus();
    }
    let list = found(text);
    *chosen = chosen
        .saturating_add_signed(step as isize)
        .min(list.len().saturating_sub(1));
    if list.is_empty() {
        text_ui(ui, "No command has these words.", theme.body(), c.muted);
        return;
    }
    ScrollArea::vertical().max_height(380.0).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        for (index, command) in list.iter().enumerate() {
            let act = command.act(model, looks);
            let here = index == *chosen;
            let clicked = row_ui(ui, theme, *command, here, act.is_some(), step != 0);
            if clicked || entered && here {
                acts.push(Act::Close);
                acts.extend(act);
            }
        }
    });
}

fn row_ui(ui: &mut Ui, theme: &Theme, command: Do, here: bool, enabled: bool, moved: bool) -> bool {
    let c = &theme.colour;
    let size = vec2(ui.available_width(), theme.size.target + 6.0);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let keys = command.keys();
    let spoken = format!("Command {}. {} {keys}", command.name(), command.hint());
    response.widget_info(|| WidgetInfo::selected(Role::Button, enabled, here, &spoken));
    if here && moved {
        response.scroll_to_me(None);
    }
    let painter = ui.painter();
    if here || response.hovered() {
        let ground = if here { c.selected } else { c.band };
        painter.rect_filled(rect, egui::CornerRadius::same(4), ground);
    }
    let ink = if enabled { c.ink } else { c.muted };
    let left = rect.left() + 10.0;
    let name = painter.layout_no_wrap(command.name().to_owned(), theme.strong(), ink);
    painter.galley(pos2(left, rect.top() + 3.0), name, ink);
    let hint = painter.layout_no_wrap(command.hint().to_owned(), theme.label(), c.muted);
    painter.galley(
        pos2(left, rect.bottom() - hint.size().y - 3.0),
        hint,
        c.muted,
    );
    let keys = painter.layout_no_wrap(keys, theme.label_strong(), c.muted);
    let at = pos2(rect.right() - keys.size().x - 10.0, rect.top() + 5.0);
    painter.galley(at, keys, c.muted);
    focus_ring(ui, theme, &response, rect.shrink(1.0));
    response.clicked()
}

/// Commands whose name, hint or keys have all the words, best first: those whose name begins with what is typed, then those
/// whose name has it, then by how many of the words stand in the name, and where they begin a word.
fn found(text: &str) -> Vec<Do> {
    let wanted = text.trim().to_lowercase();
    let words: Vec<&str> = wanted.split_whitespace().collect();
    let ranked = Do::ALL.into_iter().filter_map(|command| {
        let name = command.name().to_lowercase();
        let all = format!("{name} {} {}", command.hint(), command.keys()).to_lowercase();
        let missing = |text: &str| words.iter().filter(|word| !text.contains(*word)).count();
        let begins = |word: &&&str| {
            all.split(|c: char| !c.is_alphanumeric())
                .any(|own| own.starts_with(**word))
        };
        let inside = words.iter().filter(|word| !begins(word)).count();
        let rank = (
            !name.starts_with(&wanted),
            !name.contains(&wanted),
            !all.contains(&wanted),
            missing(&name),
            inside,
        );
        (missing(&all) == 0).then_some((rank, command))
    });
    let mut ranked: Vec<_> = ranked.collect();
    // Stable: equals stay in the order of the list.
    ranked.sort_by_key(|(rank, _)| *rank);
    ranked.into_iter().map(|(_, command)| command).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn commands_are_found_by_any_of_their_words() {
        assert_eq!(found("undo").first(), Some(&Do::Undo));
        assert!(found("dark bay").contains(&Do::Day));
        assert!(found("ctrl+k").contains(&Do::Commands));
        assert!(found("xyzzy").is_empty());
    }

    #[test]
    fn a_command_that_is_named_so_comes_before_one_that_only_mentions_the_words() {
        let first = [
            ("save as", Do::SaveAs),
            ("save", Do::Save),
            ("save under", Do::SaveAs),
            ("report", Do::Report),
            ("close", Do::CloseJob),
            ("job", Do::DuplicateJob),
            ("zoom out", Do::ZoomOut),
            ("another name", Do::SaveAs),
        ];
        for (typed, wanted) in first {
            assert_eq!(found(typed).first(), Some(&wanted), "{typed}");
        }
        let saved = found("save");
        let at = |command| saved.iter().position(|found| *found == command);
        assert!(at(Do::SaveAs) < at(Do::CloseJob), "{saved:?}");
    }
}
