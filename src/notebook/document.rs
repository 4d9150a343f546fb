//! What every file of the notebook has around its body: `(format: "…", version: N, body: (…))`.

use serde::{Deserialize, Serialize, de::DeserializeOwned, de::IgnoredAny};

use super::{Cause, FileError, trouble};

/// What stands before the body; enough to know whether the body can be read.
#[derive(Deserialize)]
pub(super) struct Head {
    /// Name of the format.
    pub format: String,
    /// Version of its shape.
    pub version: u32,
    #[serde(rename = "body")]
    _body: IgnoredAny,
}

/// The whole file.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Document<T> {
    /// Name of the format.
    pub format: String,
    /// Version of its shape.
    pub version: u32,
    /// What it holds.
    pub body: T,
}

/// How every file of the notebook is written.
pub(super) fn options() -> ron::Options {
    use ron::extensions::Extensions;
    ron::Options::default()
        .with_default_extension(Extensions::IMPLICIT_SOME | Extensions::UNWRAP_VARIANT_NEWTYPES)
}

/// Reads a document's text as a type; errors say line, column and field.
pub(super) fn parse_document<T: DeserializeOwned>(name: &str, text: &str) -> Result<T, FileError> {
    let syntax = |spanned: ron::error::SpannedError, path: &str| {
        let (what, remedy) = trouble::explain(&spanned.code);
        let place = spanned.span.start;
        FileError::new(name, Cause::Content, what, remedy)
            .at(place.line, place.col)
            .in_field(path)
    };
    let mut reader = ron::Deserializer::from_str_with_options(text, &options())
        .map_err(|error| syntax(error, ""))?;
    let document: Document<T> = serde_path_to_error::deserialize(&mut reader).map_err(|error| {
        let path = error.path().to_string();
        // The end of the path is unknown where the field's own name could not be read.
        let path = path.trim_end_matches(['.', '?']);
        syntax(reader.span_error(error.into_inner()), path)
    })?;
    reader
        .end()
        .map_err(|error| syntax(reader.span_error(error), ""))?;
    Ok(document.body)
}
