//! The check of a shop's file: all the shop can prove of it, and the hash of
//! every issued record.

use std::path::Path;

use bendproof_desk::audit;
use bendproof_shop::{Audit, Fault, FaultKind, Shop, ShopError};
use serde_json::{Value, json};

use super::backups::newest;
use super::seen;

/// Checks a file that a bench may be writing to, against what was seen of it
/// before too where it is the file of a data folder.
///
/// # Errors
/// Why it cannot be opened; a damaged file can, and its damage is a result.
pub async fn audit_file(file: &Path) -> Result<Audit, ShopError> {
    let shop = match Shop::open_read_only(file).await {
        Ok(shop) => shop,
        Err(why @ (ShopError::Empty { .. } | ShopError::Damaged { .. } | ShopError::BadRow { .. })) => {
            let mut audit = Audit::default();
            audit.push(Fault::new(FaultKind::Unreadable, why.to_string()));
            return Ok(audit);
        }
        Err(other) => return Err(other),
    };
    let found = audit_since(&shop, file).await;
    shop.close().await;
    found
}

async fn audit_since(shop: &Shop, file: &Path) -> Result<Audit, ShopError> {
    let mut audit = audit(shop).await?;
    if let Some(then) = seen::read(file)
        && let Some(fault) = shop.verify_head(&then).await?
    {
        audit.push(fault);
    }
    Ok(audit)
}

/// What to do about a shop's file with faults: which backup to put in its place,
/// and how.
pub fn advice(file: &Path, backups: &Path) -> String {
    let data = file.parent().map(|folder| format!(" --data {}", folder.display())).unwrap_or_default();
    let Some(newest) = newest(backups) else {
        return format!(
            "there is no backup in {}; `bendproof shop restore FILE{data}` puts one in its place",
            backups.display()
        );
    };
    format!(
        "`bendproof shop restore {}{data}` puts the last backup in its place and keeps the present file aside; \
         `bendproof shop verify{data}` lists everything",
        newest.display()
    )
}

/// An audit as JSON.
pub fn json(file: &Path, audit: &Audit) -> Value {
    let fault = |fault: &Fault| {
        json!({
            "kind": fault.kind.word(),
            "event": fault.seq,
            "subject": fault.document.as_ref().map(|(subject, _)| subject.word()),
            "id": fault.document.as_ref().map(|(_, id)| id),
            "path": fault.path,
            "history": fault.history,
            "found": fault.found,
            "message": fault.to_string(),
        })
    };
    json!({
        "file": file.display().to_string(),
        "sound": audit.is_sound(),
        "documents": audit.documents,
        "events": audit.events,
        "faults": audit.faults.iter().map(fault).collect::<Vec<_>>(),
        "more": audit.more,
    })
}
