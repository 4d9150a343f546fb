//! The day of today where this computer stands, to be proposed where a day is asked for.

/// Today by the system's time zone, e.g. `2031-04-02`; by UTC where the system names none.
pub fn today() -> String {
    jiff::ZonedDateTime::now().date().to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::record::day;

    #[test]
    fn today_is_a_day_as_records_have_it() {
        let today = today();
        assert!(
            today.as_str() > "2026-01-01" && today.len() == 10,
            "{today}"
        );
        assert!(day::read(&today).sorted_by().is_some(), "{today}");
    }
}
