//! A shop's rule file laid over the codes it names.
//!
//! It is read once and handed on; the codes themselves stay as they are, so that
//! the code's own limit can always be shown next to the shop's.

use super::by_name::{CatalogueError, code};
use super::code::Code;
use super::shop::{ShopFile, ShopRuleError};
use crate::rule::Rule;

/// A shop's stricter limits and own rules, each code that has any.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopRules {
    shop: String,
    codes: Vec<Code>,
}

impl ShopRules {
    /// Reads a file of the form of [`super::shop::tighten`] with `codes`, the list of
    /// the codes it is about. A rule of the shop's own stands in each of them.
    ///
    /// # Errors
    /// [`ShopRuleError`] names the rule, the value, the code's value and what to
    /// write instead; nothing of a file with a fault is used.
    ///
    /// # Examples
    /// ```
    /// use bendproof_codes::catalogue::{ShopRules, code};
    ///
    /// let ours = ShopRules::read(r#"
    ///     shop = "Harbour test bay"
    ///     codes = ["aws-d1.1-2020"]
    ///     [[tighten]]
    ///     rule = "d11-bend-single-opening"
    ///     at_most = { inch = "1/16", mm = 1.5 }
    ///     reason = "our customer asks for it"
    ///     decided_by = "R. Keel, 2026-03-01"
    /// "#).unwrap();
    /// assert_eq!(ours.over(code("d1.1").unwrap()).shop.as_deref(), Some("Harbour test bay"));
    /// assert_eq!(ours.over(code("asme-ix").unwrap()).shop, None);
    /// ```
    pub fn read(text: &str) -> Result<Self, ShopRuleError> {
        let file = ShopFile::read(text)?;
        if file.codes.is_empty() {
            return Err(ShopRuleError::NoCode);
        }
        let named: Result<Vec<&Code>, CatalogueError> = file.codes.iter().map(|name| code(name)).collect();
        let named = named.map_err(|why| ShopRuleError::Code(Box::new(why)))?;
        file.fits(&named)?;
        let codes = named.into_iter().map(|code| file.over(code)).collect::<Result<_, _>>()?;
        Ok(Self { shop: file.shop, codes })
    }

    /// Whose they are.
    pub fn shop(&self) -> &str {
        &self.shop
    }

    /// The codes with the shop's limits in them.
    pub fn codes(&self) -> &[Code] {
        &self.codes
    }

    /// A code with the shop's limits where the file has any for it, else as it is.
    pub fn over<'a>(&'a self, code: &'a Code) -> &'a Code {
        self.codes.iter().find(|ours| ours.id == code.id).unwrap_or(code)
    }

    /// The shop's rule of this id: tightened, or its own.
    pub fn rule(&self, id: &str) -> Option<(&Code, &Rule)> {
        let found = self.codes.iter().find_map(|code| Some((code, code.rule(id)?)));
        found.filter(|(_, rule)| rule.is_shops())
    }
}
