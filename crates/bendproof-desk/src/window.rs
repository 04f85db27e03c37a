//! The settings window behind the page: read from the kept document, mapped on a
//! thread of its own, set through the same change as every other value.

use bendproof_bench::desk::*;
use bendproof_drawing::{Frame, Theme, Words};
use bendproof_traveler::drawn::Look;
use bendproof_traveler::window::{
    Window, window_chance, window_csv, window_description, window_of, window_place, window_svg, window_title,
    window_view, window_written,
};

use super::solved::beads;
use super::{ShopDesk, computing, trouble};
use bendproof_contract as contract;

impl ShopDesk {
    pub(super) async fn window_opened(&self, number: &str, ask: WindowAsk) -> Result<WindowOpened, Trouble> {
        let (version, document) = self.document(number).await?;
        let context = self.context();
        let can_undo = self.shop.can_undo(bendproof_shop::Subject::Coupon, number).await.map_err(trouble)?;
        let plates = self.plates().await?.all;
        let kept = self.shelf.found(&document);
        let work =
            move || window_view(&document, context, &plates, &ask, Look::Screen, beads(&kept)).map(Box::new);
        Ok(WindowOpened {
            version: u64::try_from(version).unwrap_or(0),
            can_undo,
            window: computing(work).await?,
        })
    }

    pub(super) async fn window_pointed(
        &self,
        number: &str,
        ask: WindowAsk,
        at: [f64; 2],
    ) -> Result<Result<WindowPlace, Vec<String>>, Trouble> {
        let (_, document) = self.document(number).await?;
        let context = self.context();
        let kept = self.shelf.found(&document);
        computing(move || window_place(&document, context, &ask, at, beads(&kept))).await
    }

    pub(super) async fn window_kept(
        &self,
        number: &str,
        version: u64,
        changes: Vec<Change>,
        hand: Hand<'_>,
    ) -> Result<Outcome, Trouble> {
        let (_, document) = self.document(number).await?;
        let context = self.context();
        let all = computing(move || window_written(&document, context, &changes)).await?;
        self.changed(number, version, all, hand).await
    }

    pub(super) async fn window_chances(
        &self,
        number: &str,
    ) -> Result<Result<ChanceView, Vec<String>>, Trouble> {
        let (_, document) = self.document(number).await?;
        let context = self.context();
        let kept = self.shelf.found(&document);
        computing(move || window_chance(&document, context, beads(&kept))).await
    }

    pub(super) async fn window_downloaded(
        &self,
        number: &str,
        kind: WindowFile,
        ask: WindowAsk,
    ) -> Result<Download, Trouble> {
        let (_, document) = self.document(number).await?;
        let context = self.context();
        let plates = self.plates().await?.all;
        let kept = self.shelf.found(&document);
        let work = move || match window_of(&document, context, &plates, &ask, beads(&kept)) {
            Ok(window) => file(&window, kind).map(Some),
            Err(why) if kind == WindowFile::Json => bytes(&serde_json::json!({ "not_known": why })).map(Some),
            Err(_) => Ok(None),
        };
        let content_type = match kind {
            WindowFile::Svg => "image/svg+xml; charset=utf-8",
            WindowFile::Png => "image/png",
            WindowFile::Json => "application/json",
            WindowFile::Csv => "text/csv; charset=utf-8",
        };
        Ok(Download {
            content_type: content_type.to_owned(),
            file_name: format!("window-{number}.{}", kind.slug()),
            bytes: computing(work).await?.map_err(Trouble::Broken)?.ok_or(Trouble::Absent)?,
        })
    }
}

fn bytes(value: &serde_json::Value) -> Result<Vec<u8>, String> {
    serde_json::to_vec_pretty(value).map_err(|why| why.to_string())
}

fn file(window: &Window, kind: WindowFile) -> Result<Vec<u8>, String> {
    let svg = || {
        let (theme, words) = (Theme::paper(), Words::english());
        let (title, desc) = (window_title(window), window_description(window));
        window_svg(window, &Frame { id: "window", title: &title, desc: &desc, theme: &theme, words: &words })
    };
    match kind {
        WindowFile::Svg => Ok(svg().into_bytes()),
        WindowFile::Png => bendproof_paper::png(&svg()).map_err(|why| why.to_string()),
        WindowFile::Csv => Ok(window_csv(window).into_bytes()),
        WindowFile::Json => bytes(&contract::window(window)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::Standing;

    /// A planned coupon of the demonstration shop, stamped with its forecast.
    const PLANNED: &str = "0317";

    /// The chance in words as list, sheet, window and the window's file say it.
    async fn chances(desk: &ShopDesk) -> [String; 4] {
        let behind = |stamp: &str, note: &str| {
            let share = stamp.split_once(" · ").unwrap().1.to_owned();
            if note.is_empty() { share } else { format!("{share}, {note}") }
        };
        let list = desk.coupon_list(ListAsk { find: PLANNED.to_owned(), page: None }).await.unwrap();
        let sheet = desk.opened(PLANNED).await.unwrap().sheet;
        let window = desk.window_chances(PLANNED).await.unwrap().unwrap().chance.unwrap();
        let ask = WindowAsk::default();
        let file = desk.window_downloaded(PLANNED, WindowFile::Json, ask).await.unwrap();
        let file: serde_json::Value = serde_json::from_slice(&file.bytes).unwrap();
        let chance = &file["chance"];
        let percent = |share: &serde_json::Value| format!("{:.0} %", 100.0 * share.as_f64().unwrap());
        let (low, high) = (percent(&chance["range"]["low"]), percent(&chance["range"]["high"]));
        let along = percent(&chance["along"]);
        let low = low.trim_end_matches(" %");
        let file = match chance["is_solved"].as_bool().unwrap() {
            true => along,
            false => format!("{along}, provisional: {low} to {high} once solved"),
        };
        let row = &list.rows[0];
        [behind(&row.stamp, &row.stamp_note), behind(&sheet.stamp, &sheet.stamp_note), window, file]
    }

    #[tokio::test]
    async fn list_sheet_and_window_say_one_chance_before_and_after_the_beads_are_solved() {
        let shop = bendproof_shop::Shop::open_in_memory().await.unwrap();
        crate::fill_with_demo(&shop, &*Standing::clock()).await.unwrap();
        let desk = ShopDesk::new(shop, None, Standing::clock());
        let before = chances(&desk).await;
        assert!(before[0].contains("provisional"), "{before:?}");
        assert!(before.iter().all(|words| *words == before[0]), "{before:?}");
        desk.section_of(PLANNED, SectionAsk::default()).await.unwrap().unwrap();
        let after = chances(&desk).await;
        assert!(!after[0].contains("provisional"), "{after:?}");
        assert!(after.iter().all(|words| *words == after[0]), "{after:?}");
        // The window's word at the place set is the sheet's, from the same beads.
        let ask = WindowAsk::default();
        let window = desk.window_opened(PLANNED, ask.clone()).await.unwrap().window.unwrap();
        let sheet = desk.opened(PLANNED).await.unwrap().sheet;
        assert_eq!(window.here.mark, sheet.stamp_mark);
        let pointed = desk.window_pointed(PLANNED, ask, window.here.at).await.unwrap().unwrap();
        assert_eq!(pointed, window.here);
    }
}
