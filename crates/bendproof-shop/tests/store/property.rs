//! Random sequences of changes, stamps, undo and redo against a plain model.

use std::collections::BTreeMap;

use bendproof_shop::{By, Edit, STAMP_BRANCH, Shop, ShopError, Stamp, Subject, fold};
use proptest::prelude::*;

/// One random step on one of a few documents.
#[derive(Debug, Clone)]
enum Step {
    Change(usize, Vec<(usize, Option<String>)>),
    Undo(usize),
    Redo(usize),
    Stamp(usize),
    /// A change made on a version that may be stale, this many versions back.
    Stale(usize, i64),
}

/// The documents; the same id as coupon and person must not mix.
const DOCUMENTS: [(Subject, &str); 3] =
    [(Subject::Coupon, "C-1"), (Subject::Person, "C-1"), (Subject::Coupon, "C-2")];

const PATHS: [&str; 5] = ["title", "fit.root_opening", "pass.1.volts", "strap.R1.kind", "used.2026-09-14"];

/// What a document should be: its values, and the snapshots undo and redo go to.
#[derive(Debug, Clone, Default)]
struct Model {
    version: i64,
    values: BTreeMap<String, String>,
    /// The version of the latest stamp; its values stand next to the others.
    stamped: Option<i64>,
    past: Vec<BTreeMap<String, String>>,
    future: Vec<BTreeMap<String, String>>,
}

fn step() -> impl Strategy<Value = Step> {
    let document = 0..DOCUMENTS.len();
    let value = proptest::option::weighted(0.75, "[a-z0-9/ \"µ°é'%]{0,12}");
    let edits = proptest::collection::vec((0..PATHS.len(), value), 0..4);
    prop_oneof![
        5 => (document.clone(), edits).prop_map(|(d, e)| Step::Change(d, e)),
        3 => document.clone().prop_map(Step::Undo),
        2 => document.clone().prop_map(Step::Redo),
        1 => document.clone().prop_map(Step::Stamp),
        1 => (document, 1..4_i64).prop_map(|(d, back)| Step::Stale(d, back)),
    ]
}

/// Runs one step on shop and model and compares the outcome.
async fn take(shop: &Shop, models: &mut [Model], step: &Step, at_ms: i64) {
    let by = By::new("Rosa", at_ms);
    let (Step::Change(d, _) | Step::Undo(d) | Step::Redo(d) | Step::Stamp(d) | Step::Stale(d, _)) = step;
    let ((subject, id), model) = (DOCUMENTS[*d], &mut models[*d]);
    let outcome = match step {
        Step::Change(_, wanted) => {
            let unique: BTreeMap<usize, Option<String>> = wanted.iter().cloned().collect();
            let mut next = model.values.clone();
            for (path, value) in &unique {
                match value {
                    Some(value) => next.insert(PATHS[*path].to_owned(), value.clone()),
                    None => next.remove(PATHS[*path]),
                };
            }
            if next != model.values {
                model.past.push(std::mem::replace(&mut model.values, next));
                model.future.clear();
                model.version += 1;
            }
            let edits: Vec<Edit> = unique
                .into_iter()
                .map(|(path, value)| Edit { path: PATHS[path].to_owned(), value })
                .collect();
            let expected = shop.document(subject, id).await.unwrap().version;
            shop.change(subject, id, expected, &edits, &by).await
        }
        Step::Undo(_) => {
            let expected = model.version;
            let Some(values) = model.past.pop() else {
                let error = shop.undo(subject, id, expected, &by).await.unwrap_err();
                assert!(matches!(error, ShopError::NothingToUndo { .. }), "{error}");
                return;
            };
            model.future.push(std::mem::replace(&mut model.values, values));
            model.version += 1;
            shop.undo(subject, id, expected, &by).await
        }
        Step::Redo(_) => {
            let expected = model.version;
            let Some(values) = model.future.pop() else {
                let error = shop.redo(subject, id, expected, &by).await.unwrap_err();
                assert!(matches!(error, ShopError::NothingToRedo { .. }), "{error}");
                return;
            };
            model.past.push(std::mem::replace(&mut model.values, values));
            model.version += 1;
            shop.redo(subject, id, expected, &by).await
        }
        Step::Stamp(_) => {
            let given_on = model.version;
            model.version += 1;
            model.stamped = Some(given_on);
            shop.stamp(subject, id, given_on, ["accept", "code-1"], &by).await
        }
        Step::Stale(_, back) => {
            let ours = (model.version - back).max(1);
            if ours < model.version {
                let edits = [Edit::set("title", "stale")];
                match shop.change(subject, id, ours, &edits, &by).await.unwrap_err() {
                    ShopError::Conflict { current, since, .. } => {
                        assert_eq!(unstamped(current.values), model.values);
                        assert_eq!(since.len() as i64, model.version - ours);
                    }
                    error => panic!("{error}"),
                }
            }
            return;
        }
    };
    let document = outcome.unwrap();
    assert_eq!(Stamp::among(&document.values).map(|stamp| stamp.version), model.stamped);
    assert_eq!((document.version, unstamped(document.values)), (model.version, model.values.clone()));
}

/// The values without those of a stamp.
fn unstamped(mut values: BTreeMap<String, String>) -> BTreeMap<String, String> {
    values.retain(|path, _| !path.starts_with(STAMP_BRANCH));
    values
}

async fn run(steps: &[Step]) {
    let shop = Shop::open_in_memory().await.unwrap();
    let mut models = vec![Model { version: 1, ..Model::default() }; DOCUMENTS.len()];
    for (subject, id) in DOCUMENTS {
        shop.create(subject, id, &[], &By::new("Rosa", 0)).await.unwrap();
    }
    for (step, at_ms) in steps.iter().zip(1..) {
        take(&shop, &mut models, step, at_ms).await;
    }
    for ((subject, id), model) in DOCUMENTS.into_iter().zip(&models) {
        let history = shop.history(subject, id).await.unwrap();
        let versions: Vec<i64> = history.iter().map(|event| event.version).collect();
        assert_eq!(versions, (1..=model.version).collect::<Vec<_>>(), "versions are dense");
        assert_eq!(unstamped(fold(&history)), model.values);
        assert_eq!(shop.can_undo(subject, id).await.unwrap(), !model.past.is_empty());
        assert_eq!(shop.document(subject, id).await.unwrap().values, fold(&history));
        let middle = (model.version + 1) / 2;
        let then = shop.document_at(subject, id, middle).await.unwrap();
        assert_eq!(then.values, fold(&history[..middle as usize]));
    }
    let audit = shop.verify().await.unwrap();
    assert_eq!(audit.faults, []);
    assert_eq!(audit.events as i64, models.iter().map(|model| model.version).sum::<i64>());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn any_sequence_folds_to_its_projection(steps in proptest::collection::vec(step(), 0..40)) {
        tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap().block_on(run(&steps));
    }
}
