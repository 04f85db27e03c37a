//! The settings window behind the page: read from the kept document, mapped on a
//! thread of its own, set through the same change as every other value.

use bendproof_bench::desk::*;
use bendproof_drawing::{Frame, Theme, Words};
use bendproof_traveler::drawn::Look;
use bendproof_traveler::window::{
    Window, window_chance, window_csv, window_description, window_of, window_place, window_svg, window_title,
    window_view, window_written,
};

use super::{ShopDesk, computing, trouble};
use bendproof_contract as contract;

impl ShopDesk {
    pub(super) async fn window_opened(&self, number: &str, ask: WindowAsk) -> Result<WindowOpened, Trouble> {
        let (version, document) = self.document(number).await?;
        let told = self.told();
        let can_undo = self.shop.can_undo(bendproof_shop::Subject::Coupon, number).await.map_err(trouble)?;
        let plates = self.plates().await?.all;
        let work = move || window_view(&document, told, &plates, &ask, Look::Screen).map(Box::new);
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
        let told = self.told();
        computing(move || window_place(&document, told, &ask, at)).await
    }

    pub(super) async fn window_kept(
        &self,
        number: &str,
        version: u64,
        changes: Vec<Change>,
        hand: Hand<'_>,
    ) -> Result<Outcome, Trouble> {
        let (_, document) = self.document(number).await?;
        let told = self.told();
        let all = computing(move || window_written(&document, told, &changes)).await?;
        self.changed(number, version, all, hand).await
    }

    pub(super) async fn window_chances(
        &self,
        number: &str,
    ) -> Result<Result<ChanceView, Vec<String>>, Trouble> {
        let (_, document) = self.document(number).await?;
        let told = self.told();
        computing(move || window_chance(&document, told)).await
    }

    pub(super) async fn window_downloaded(
        &self,
        number: &str,
        kind: WindowFile,
        ask: WindowAsk,
    ) -> Result<Download, Trouble> {
        let (_, document) = self.document(number).await?;
        let told = self.told();
        let plates = self.plates().await?.all;
        let work = move || match window_of(&document, told, &plates, &ask) {
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
