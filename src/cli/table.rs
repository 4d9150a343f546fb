//! Columns for a terminal.

/// Lines of equal columns, two spaces in and two between; trailing spaces are left out.
pub fn table(rows: &[Vec<String>]) -> String {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns)
        .map(|column| {
            rows.iter()
                .filter_map(|row| row.get(column))
                .map(|cell| cell.chars().count())
                .max()
                .unwrap_or(0)
        })
        .collect();
    let mut text = String::new();
    for row in rows {
        let mut line = String::new();
        for (cell, width) in row.iter().zip(&widths) {
            line.push_str("  ");
            line.push_str(cell);
            line.extend(std::iter::repeat_n(
                ' ',
                width - cell.chars().count().min(*width),
            ));
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up_whatever_the_letters() {
        let row = |cells: &[&str]| cells.iter().map(|&cell| cell.to_owned()).collect();
        let rows = [row(&["Ω", "b"]), row(&["long", "µ", "x"]), row(&[])];
        assert_eq!(table(&rows), "  Ω     b\n  long  µ  x\n\n");
        assert_eq!(table(&[]), "");
    }
}
