//! What can be proved of an open shop: its chain, its documents, and the hash of
//! every issued record.

use bendproof_shop::{Audit, Fault, FaultKind, Shop, ShopError, Subject};

use crate::records::kept_issues;

/// Checks an open shop.
///
/// # Errors
/// Storage trouble other than damage; damage is a result.
pub async fn audit(shop: &Shop) -> Result<Audit, ShopError> {
    let mut audit = shop.verify().await?;
    match records(shop, &mut audit).await {
        // A row that does not read is reported already.
        Err(ShopError::Damaged { .. } | ShopError::BadRow { .. }) | Ok(()) => Ok(audit),
        Err(other) => Err(other),
    }
}

/// Adds every issue of a record whose hash does not hold.
async fn records(shop: &Shop, audit: &mut Audit) -> Result<(), ShopError> {
    for record in shop.list(Subject::Record, &[]).await? {
        let kept = shop.document(Subject::Record, &record.id).await?;
        for (revision, read) in kept_issues(&kept.values) {
            if let Err(why) = read {
                let path = format!("issue {revision}");
                let fault = Fault::new(FaultKind::Record, why).of(Subject::Record, &record.id);
                audit.push(Fault { path: Some(path), ..fault });
            }
        }
    }
    Ok(())
}
