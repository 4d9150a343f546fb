//! What can go wrong with a file, said once and in one shape: where, what, and what to do.

use std::fmt;

/// Longest piece of foreign text that an error repeats, in characters.
const EXCERPT: usize = 160;

/// Which sort of trouble it is, for callers that act on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// The file could not be opened, read, written or replaced.
    Disk,
    /// Not a job file, or one with a mistake in it.
    Content,
    /// The checksum does not fit the text: torn, damaged, or edited by hand.
    Checksum,
    /// Written by a newer version in a shape that this one does not know.
    Newer(u32),
    /// Saving was refused because something else would be lost.
    Refused,
}

/// Why a file could not be read or written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileError {
    /// The file, as it was named.
    pub file: Box<str>,
    /// Line and column, both from 1, where the place is known.
    pub place: Option<(u32, u32)>,
    /// Path of the field, e.g. `body.circuit.wires[2].length_m`; empty where it is not known.
    pub field: Box<str>,
    /// Sort of trouble.
    pub cause: Cause,
    /// What is wrong.
    pub what: Box<str>,
    /// What to do about it.
    pub remedy: Box<str>,
}

impl FileError {
    /// An error about a file as a whole.
    pub fn new(file: &str, cause: Cause, what: impl AsRef<str>, remedy: impl AsRef<str>) -> Self {
        Self {
            file: excerpt(file).into(),
            place: None,
            field: Box::default(),
            cause,
            what: excerpt(what.as_ref()).into(),
            remedy: excerpt(remedy.as_ref()).into(),
        }
    }

    /// The same error with its place in the text.
    #[must_use]
    pub fn at(mut self, line: usize, column: usize) -> Self {
        let number = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
        self.place = Some((number(line), number(column)));
        self
    }

    /// The same error with the path of its field.
    #[must_use]
    pub fn in_field(mut self, path: &str) -> Self {
        self.field = excerpt(path).into();
        self
    }
}

impl fmt::Display for FileError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some((line, column)) = self.place {
            write!(f, ":{line}:{column}")?;
        }
        f.write_str(": ")?;
        if !self.field.is_empty() {
            write!(f, "{}: ", self.field)?;
        }
        write!(f, "{}. {}.", self.what, self.remedy)
    }
}

impl std::error::Error for FileError {}

/// A text made safe to show: control and direction marks stand as their numbers.
pub fn visible(text: &str) -> String {
    let mut shown = String::new();
    for c in text.chars() {
        if c.is_control() || is_direction_mark(c) {
            shown.extend(c.escape_unicode());
        } else {
            shown.push(c);
        }
    }
    shown
}

/// The beginning of a text, made safe to show.
pub fn excerpt(text: &str) -> String {
    match text.char_indices().nth(EXCERPT) {
        Some((end, _)) => visible(&text[..end]) + "…",
        None => visible(text),
    }
}

/// Unicode's invisible marks that turn the writing direction, which could make a text read as another.
fn is_direction_mark(c: char) -> bool {
    matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Trouble with the disk, in plain words.
pub fn disk(file: &str, error: &std::io::Error) -> FileError {
    use std::io::ErrorKind;
    let (what, remedy) = match error.kind() {
        ErrorKind::NotFound => (
            "there is no such file or folder",
            "Check the name and the path",
        ),
        ErrorKind::PermissionDenied => (
            "reading or writing here is not allowed",
            "Choose another folder, or change its rights",
        ),
        ErrorKind::ReadOnlyFilesystem => (
            "the disk or stick is write-protected",
            "Save to another place",
        ),
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => (
            "the disk is full",
            "Free some space, or save to another place",
        ),
        ErrorKind::IsADirectory => ("this is a folder, not a file", "Choose a file in it"),
        ErrorKind::NotADirectory => (
            "a part of the path is a file, not a folder",
            "Check the path",
        ),
        ErrorKind::InvalidFilename => ("the file name is not possible here", "Choose another name"),
        _ => {
            return FileError::new(
                file,
                Cause::Disk,
                error.to_string(),
                "Check the disk or stick, and try again or save to another place",
            );
        }
    };
    FileError::new(file, Cause::Disk, what, remedy)
}

/// The parser's complaint in plain words: what is wrong, and what to do.
pub fn explain(error: &ron::Error) -> (String, String) {
    use ron::Error;
    let fix = |what: String, remedy: &str| (what, remedy.to_owned());
    match error {
        Error::NoSuchStructField {
            expected, found, ..
        } => (
            format!("unknown field “{}”", excerpt(found)),
            format!("Correct or delete it; known here: {}", expected.join(", ")),
        ),
        Error::DuplicateStructField { field, .. } => fix(
            format!("the field “{field}” stands twice"),
            "Keep one of the two",
        ),
        Error::MissingStructField { field, .. } => {
            fix(format!("the field “{field}” is missing"), "Add it")
        }
        Error::NoSuchEnumVariant {
            expected, found, ..
        } => (
            format!("“{}” is not one of the choices", excerpt(found)),
            format!("Use one of: {}", expected.join(", ")),
        ),
        Error::Eof | Error::UnclosedBlockComment | Error::ExpectedStringEnd => fix(
            "the text ends too early".to_owned(),
            "The file was cut off, or a bracket or quotation mark is not closed; an earlier save may be beside it",
        ),
        Error::TrailingCharacters => fix(
            "there is text behind the end of the job".to_owned(),
            "Delete what follows the last bracket",
        ),
        Error::ExpectedIdentifier => fix(
            "a field's name or a closing bracket is expected here".to_owned(),
            "Write the field as name: value, or look for a bracket of the wrong kind",
        ),
        Error::ExpectedDifferentStructName { found, .. } => fix(
            format!("“{}” stands where a bracket is to open", excerpt(found)),
            "Delete the word, or look for a bracket that is not closed above it",
        ),
        Error::ExpectedNamedStructLike(_) | Error::ExpectedStructLike => fix(
            "a bracket is to open here".to_owned(),
            "Write what belongs together in brackets: (name: value, …)",
        ),
        Error::Message(text) => fix(excerpt(text), "Correct this value"),
        Error::ExpectedComma => fix(
            "a comma is missing, or a bracket closes too early".to_owned(),
            "Add the comma, or look for the bracket that is not closed",
        ),
        other => fix(
            excerpt(&other.to_string()),
            "Correct this place; the lines around it show the usual form",
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn says_place_field_cause_and_remedy_in_one_line() {
        let error = FileError::new("a.ron", Cause::Content, "no colour “XX”", "Use BN")
            .at(3, 14)
            .in_field("body.circuit");
        assert_eq!(
            error.to_string(),
            "a.ron:3:14: body.circuit: no colour “XX”. Use BN."
        );
    }

    #[test]
    fn long_and_hostile_text_is_cut_and_made_visible() {
        let shown = excerpt(&"x".repeat(10_000_000));
        assert_eq!(shown.chars().count(), EXCERPT + 1);
        assert_eq!(excerpt("a\u{202e}b\n"), "a\\u{202e}b\\u{a}");
    }
}
