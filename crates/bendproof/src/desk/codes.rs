//! A coupon set across the codes for the page, from the kept document.

use bendproof_bench::desk::*;
use bendproof_traveler::{Look, codes_view};

use super::{ShopDesk, computing};

impl ShopDesk {
    pub(super) async fn codes_of(&self, number: &str) -> Result<Codes, Trouble> {
        let (_, document) = self.document(number).await?;
        let told = self.told();
        computing(move || codes_view(&document, told, Look::Screen).map(Box::new)).await
    }
}
