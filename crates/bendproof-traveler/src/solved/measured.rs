//! Reads a measured cooling curve: two columns, seconds and degrees Celsius.
//! It shifts nothing and smooths nothing.

/// Most points read: a minute at a hundred a second with room. Basis: choice.
pub const MEASURED_POINTS_MAX: usize = 10_000;
/// Hottest and coldest reading taken for a thermocouple's, °C. Basis: choice.
const RANGE_C: [f64; 2] = [-60.0, 3000.0];

/// Why a measured curve cannot be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MeasuredError {
    /// No point at all.
    #[error("no point was found; give two columns, t_s and T_C, one reading a line")]
    Empty,
    /// A line that is no pair of numbers.
    #[error(
        "line {line}: `{text}` is not two numbers; write seconds, a comma, degrees Celsius, as in 1.5,812"
    )]
    Line {
        /// Its number, 1 first.
        line: usize,
        /// What stands there, shortened.
        text: String,
    },
    /// A temperature no thermocouple on steel reads.
    #[error("line {line}: {celsius} °C, allowed is -60 to 3000 °C; is the column in °C?")]
    Range {
        /// Its number, 1 first.
        line: usize,
        /// What stands there.
        celsius: f64,
    },
    /// Time runs back.
    #[error("line {line}: time {t_s} s does not follow the line before; sort the readings by time")]
    Order {
        /// Its number, 1 first.
        line: usize,
        /// What stands there.
        t_s: f64,
    },
    /// Too many points.
    #[error("more than {MEASURED_POINTS_MAX} readings; take every second or tenth one")]
    Many,
}

/// Longest piece of a line repeated in an error, characters.
const QUOTED_MAX: usize = 40;

/// Reads `t_s,T_C` lines, oldest first; a head line, empty lines and lines that
/// begin with `#` are passed over. Commas, semicolons and tabs divide.
///
/// # Errors
/// [`MeasuredError`] names the line.
///
/// # Examples
/// ```
/// let points = bendproof_traveler::solved::read_measured("t_s,T_C\n0,1200\n5;600\n")?;
/// assert_eq!(points, [[0.0, 1200.0], [5.0, 600.0]]);
/// # Ok::<(), bendproof_traveler::solved::MeasuredError>(())
/// ```
pub fn read_measured(text: &str) -> Result<Vec<[f64; 2]>, MeasuredError> {
    let mut points: Vec<[f64; 2]> = Vec::new();
    let mut is_head_allowed = true;
    for (index, raw) in text.lines().enumerate() {
        let (line, answer) = (index + 1, raw.trim().trim_start_matches('\u{feff}'));
        if answer.is_empty() || answer.starts_with('#') {
            continue;
        }
        let Some([t_s, celsius]) = pair(answer) else {
            // One line of words before the first number is a head.
            if std::mem::take(&mut is_head_allowed) && !answer.starts_with(|c: char| c.is_ascii_digit()) {
                continue;
            }
            return Err(MeasuredError::Line { line, text: answer.chars().take(QUOTED_MAX).collect() });
        };
        is_head_allowed = false;
        if !(RANGE_C[0]..=RANGE_C[1]).contains(&celsius) {
            return Err(MeasuredError::Range { line, celsius });
        }
        if points.last().is_some_and(|before| before[0] >= t_s) {
            return Err(MeasuredError::Order { line, t_s });
        }
        if points.len() == MEASURED_POINTS_MAX {
            return Err(MeasuredError::Many);
        }
        points.push([t_s, celsius]);
    }
    if points.is_empty() { Err(MeasuredError::Empty) } else { Ok(points) }
}

fn pair(line: &str) -> Option<[f64; 2]> {
    let mut cells = line.split([',', ';', '\t']).map(str::trim);
    let number = |text: &str| text.parse::<f64>().ok().filter(|v| v.is_finite());
    let read = [number(cells.next()?)?, number(cells.next()?)?];
    cells.all(str::is_empty).then_some(read)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_head_comments_and_spreadsheet_marks_are_passed_over() {
        let read = read_measured("\u{feff}t_s,T_C\r\n# probe 1\r\n\r\n-0.5, 20\r\n0.5\t1300.5\r\n");
        assert_eq!(read, Ok(vec![[-0.5, 20.0], [0.5, 1300.5]]));
    }

    #[test]
    fn every_fault_names_its_line() {
        let said = |text: &str| read_measured(text).unwrap_err().to_string();
        assert!(said("").contains("no point"));
        assert!(said("t_s,T_C\n").contains("no point"));
        assert!(said("0,20\nwarm,hot").starts_with("line 2: `warm,hot` is not two numbers"));
        assert!(said("0,20,5").starts_with("line 1"));
        assert!(said("t,T\nmore words\n0,20").starts_with("line 2"));
        assert!(said("0,5000").contains("5000 °C, allowed is -60 to 3000"));
        assert!(said("1,20\n1,30").starts_with("line 2: time 1 s"));
        assert!(said("nan,20").starts_with("line") || said("nan,20").contains("no point"));
        let many: String = (0..=MEASURED_POINTS_MAX).map(|k| format!("{k},20\n")).collect();
        assert!(said(&many).contains("more than 10000"));
    }
}
