//! A text of one line: which characters it may not hold, and why.

/// What is wrong with the characters of a text that stands on one line: the first
/// that may not stand there, by name, and what to do. `None` where all may.
///
/// # Examples
/// ```
/// use bendproof_files::character_fault;
///
/// assert_eq!(character_fault("Ines Tornquist"), None);
/// let fault = character_fault("Ines\u{200B} Tornquist").unwrap();
/// assert_eq!(fault, "holds the character U+200B, which cannot be seen; type it again");
/// ```
pub fn character_fault(text: &str) -> Option<String> {
    let odd = text.chars().find(|c| c.is_control() || turns_reading(*c) || is_unseen(*c))?;
    let code = odd as u32;
    Some(match odd {
        '\n' | '\r' => "holds a line break; write it on one line".to_owned(),
        '\t' => "holds a tab; use a space".to_owned(),
        _ if odd.is_control() => format!("holds the control character U+{code:04X}; remove it"),
        _ if turns_reading(odd) => format!(
            "holds the character U+{code:04X}, which turns the direction of reading and prints another text \
             than is kept; type it again"
        ),
        _ => format!("holds the character U+{code:04X}, which cannot be seen; type it again"),
    })
}

/// Whether a character turns the direction of reading without being seen: the
/// marks, embeddings, overrides and isolates of Unicode's bidirectional text.
pub fn turns_reading(c: char) -> bool {
    matches!(c, '\u{061C}' | '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}')
}

/// Whether a character takes no room where it stands, so that two texts look
/// alike and are not: what Unicode calls default ignorable, and its line and
/// paragraph separators. Source: Unicode, DerivedCoreProperties; from memory.
fn is_unseen(c: char) -> bool {
    matches!(c,
        '\u{00AD}' | '\u{034F}' | '\u{115F}' | '\u{1160}' | '\u{17B4}' | '\u{17B5}' | '\u{180B}'..='\u{180F}'
        | '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2060}'..='\u{206F}' | '\u{3164}'
        | '\u{FE00}'..='\u{FE0F}' | '\u{FEFF}' | '\u{FFA0}' | '\u{FFF0}'..='\u{FFFB}'
        | '\u{1BCA0}'..='\u{1BCA3}' | '\u{1D173}'..='\u{1D17A}' | '\u{E0000}'..='\u{E0FFF}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_character_that_may_not_stand_is_named() {
        for (text, wanted) in [
            ("a\nb", "holds a line break; write it on one line"),
            ("a\tb", "holds a tab; use a space"),
            ("a\u{1B}[31mb", "holds the control character U+001B; remove it"),
            ("a\u{202E}b", "holds the character U+202E, which turns the direction of reading"),
            ("a\u{200B}b", "holds the character U+200B, which cannot be seen; type it again"),
            ("a\u{FEFF}b", "holds the character U+FEFF, which cannot be seen; type it again"),
        ] {
            let fault = character_fault(text);
            assert!(fault.as_ref().is_some_and(|fault| fault.starts_with(wanted)), "{text:?}: {fault:?}");
        }
        for plain in ["", "Łukasz Ó Dálaigh-Müller", "7\u{A0}in", "王小明", "Ωm"] {
            assert_eq!(character_fault(plain), None, "{plain}");
        }
    }
}
