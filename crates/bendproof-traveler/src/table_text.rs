//! Tables as comma-separated values (RFC 4180), for whatever program reads them.

/// Rows under one another as comma-separated values, the head first. A text with
/// a comma, a quote or a line in it comes back as it was.
pub fn csv_text<Row, Cell>(rows: impl IntoIterator<Item = Row>) -> String
where
    Row: IntoIterator<Item = Cell>,
    Cell: AsRef<[u8]>,
{
    let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
    // Writing to memory cannot fail, and rows of any length are taken.
    let written = rows.into_iter().all(|row| writer.write_record(row).is_ok());
    let bytes = writer.into_inner().unwrap_or_default();
    debug_assert!(written, "a row was not written");
    String::from_utf8_lossy(&bytes).into_owned()
}

#[cfg(test)]
mod tests {
    use super::csv_text;

    /// Quoting by RFC 4180, sections 2.6 and 2.7.
    #[test]
    fn a_name_with_a_comma_or_a_quote_stays_one_cell() {
        let text = csv_text([["place", "t_s"], ["left, 1/4\" down", "0.5"]]);
        assert_eq!(text, "place,t_s\n\"left, 1/4\"\" down\",0.5\n");
    }
}
