//! `bendproof shop`: check the shop's file, back it up, put a backup in its place.

use std::path::Path;

use serde_json::json;

use crate::arguments::ShopTask;
use crate::exit::{Exit, Failure, Outcome, failure};
use crate::{keep, output, source};

pub fn run(task: ShopTask, as_json: bool) -> Outcome {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().map_err(failure)?;
    runtime.block_on(async {
        match task {
            ShopTask::Verify { file, data } => verify(file.as_deref(), data.as_deref(), as_json).await,
            ShopTask::Backup { to, data } => backup(to.as_deref(), data.as_deref(), as_json).await,
            ShopTask::Restore { file, data } => restore(&file, data.as_deref(), as_json).await,
        }
    })
}

async fn verify(file: Option<&Path>, data: Option<&Path>, as_json: bool) -> Outcome {
    let folder = keep::data_folder(data)?;
    let path = file.map_or_else(|| keep::shop_file(&folder), Path::to_owned);
    let audit = keep::audit_file(&path).await.map_err(failure)?;
    if as_json {
        output::json(&keep::json(&path, &audit));
    } else {
        for fault in &audit.faults {
            output::line(fault);
        }
        if audit.more > 0 {
            output::line(format!("and {} more", audit.more));
        }
        let (documents, events) = (audit.documents, audit.events);
        let word = if audit.is_sound() { "sound" } else { "damaged" };
        output::line(format!("{}: {word}; {events} events of {documents} documents read", path.display()));
        if !audit.is_sound() && file.is_none() {
            output::say!("{}", keep::advice(&path, &keep::backups_in(&folder, None)));
        }
    }
    Ok(if audit.is_sound() { Exit::Fine } else { Exit::Findings })
}

async fn backup(to: Option<&Path>, data: Option<&Path>, as_json: bool) -> Outcome {
    let folder = keep::data_folder(data)?;
    let path = keep::shop_file(&folder);
    let to = match to {
        Some(to) => to.to_owned(),
        None => {
            let backups = keep::backups_in(&folder, None);
            keep::private_folder(&backups).map_err(|why| named(&backups, why))?;
            keep::free_name(&backups, source::wall_clock())
        }
    };
    let shop = bendproof_shop::Shop::open_read_only(&path).await.map_err(failure)?;
    let made = shop.backup(&to).await;
    shop.close().await;
    made.map_err(failure)?;
    if as_json {
        output::json(&json!({ "backup": to.display().to_string() }));
    } else {
        output::line(format!("{}: written, checked and sound", to.display()));
    }
    Ok(Exit::Fine)
}

async fn restore(file: &Path, data: Option<&Path>, as_json: bool) -> Outcome {
    let folder = keep::data_folder(data)?;
    keep::private_folder(&folder).map_err(|why| named(&folder, why))?;
    let _held = keep::hold(&folder, "`bendproof shop restore`")?;
    let done = keep::restore(file, &folder, source::wall_clock()).await?;
    let path = keep::shop_file(&folder);
    let aside = done.aside.as_ref().map(|aside| aside.display().to_string());
    if as_json {
        let (documents, events) = (done.audit.documents, done.audit.events);
        output::json(&json!({
            "file": path.display().to_string(),
            "restored": file.display().to_string(),
            "aside": aside,
            "documents": documents,
            "events": events,
        }));
    } else {
        output::line(format!("{} is now {}, checked and sound", path.display(), file.display()));
        if let Some(aside) = aside {
            output::line(format!("what stood there before is kept as {aside}"));
        }
    }
    Ok(Exit::Fine)
}

fn named(path: &Path, why: std::io::Error) -> Failure {
    failure(format!("{}: {why}; check the permissions of the folder above", path.display()))
}
