//! A coupon set across the codes for the page, from the kept document.

use bendproof_bench::desk::*;
use bendproof_traveler::cover::{codes_view, under_every_code};
use bendproof_traveler::drawn::Look;

use super::{ShopDesk, computing};
use bendproof_contract as contract;

impl ShopDesk {
    pub(super) async fn codes_of(&self, number: &str) -> Result<Codes, Trouble> {
        let (_, document) = self.document(number).await?;
        let context = self.context();
        computing(move || {
            let under = under_every_code(&document, context)?;
            Ok(Box::new(CodesAnswer {
                view: codes_view(&under, Look::Screen),
                data: contract::codes(&under),
            }))
        })
        .await
    }
}
