//! The schema of the shop file, as numbered steps that are applied once.
//!
//! Every applied step is kept with its checksum. A file that holds a step this
//! program does not know, or the same step with other text, is refused before
//! anything is written to it: an older program must never guess at a newer file.
//! Steps are only ever added; a released step is never edited.

use std::collections::BTreeSet;
use std::path::Path;

use sqlx::sqlite::SqliteConnection;
use sqlx::{Connection, Row};

use crate::chain;
use crate::error::ShopError;

/// One step of the schema.
pub(crate) struct Step {
    /// Its name, as kept in the file.
    name: &'static str,
    /// Its statements.
    sql: &'static str,
}

impl Step {
    /// SHA-256 of the statements; line ends are made equal first, because a
    /// checkout on another system may change them.
    fn checksum(&self) -> String {
        chain::text_hash(&self.sql.replace("\r\n", "\n"))
    }
}

/// All steps, in order; step numbers begin at 1.
pub(crate) const STEPS: &[Step] = &[
    Step { name: "shop", sql: include_str!("steps/0001_shop.sql") },
    Step { name: "append_only", sql: include_str!("steps/0002_append_only.sql") },
    Step { name: "more_subjects", sql: include_str!("steps/0003_more_subjects.sql") },
    Step { name: "stamps", sql: include_str!("steps/0004_stamps.sql") },
];

/// A step count as the file keeps it. There are never more steps than lines of
/// this program, so the cast cannot wrap.
fn number(index: usize) -> i64 {
    index as i64 + 1
}

/// Reads the file's schema and refuses what this program must not touch.
/// Returns how many of `steps` are applied; writes nothing.
///
/// # Errors
/// [`ShopError::NotAShop`], [`ShopError::SchemaFromFuture`],
/// [`ShopError::SchemaDiffers`], or the storage's error.
pub(crate) async fn survey(
    conn: &mut SqliteConnection,
    path: &Path,
    steps: &[Step],
) -> Result<usize, ShopError> {
    let tables: Vec<String> =
        sqlx::query_scalar("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")
            .fetch_all(&mut *conn)
            .await?;
    if !tables.iter().any(|table| table == "schema_step") {
        return match tables.into_iter().next() {
            Some(table) => Err(ShopError::NotAShop { path: path.to_owned(), table }),
            None => Ok(0),
        };
    }
    let rows = sqlx::query("SELECT step, checksum FROM schema_step ORDER BY step").fetch_all(conn).await?;
    for (index, row) in rows.iter().enumerate() {
        let (found, checksum): (i64, String) = (row.try_get(0)?, row.try_get(1)?);
        let Some(step) = steps.get(index) else {
            // The newest step is the useful number, not the first unknown one.
            let newest = rows.last().map_or(Ok(found), |row| row.try_get(0))?;
            return Err(ShopError::SchemaFromFuture { found: newest, known: steps.len() as i64 });
        };
        let expected = step.checksum();
        if found != number(index) || checksum != expected {
            return Err(ShopError::SchemaDiffers { step: found, found: checksum, expected });
        }
    }
    Ok(rows.len())
}

/// Applies the steps that are missing, all in one transaction; safe to repeat
/// and safe against a second program that opens the same file at that moment.
///
/// # Errors
/// As [`survey`].
pub(crate) async fn migrate(
    conn: &mut SqliteConnection,
    path: &Path,
    steps: &[Step],
) -> Result<(), ShopError> {
    if survey(conn, path, steps).await? == steps.len() {
        return Ok(());
    }
    let mut tx = conn.begin_with("BEGIN IMMEDIATE").await?;
    // Another program may have migrated between the survey and the lock.
    let applied = survey(&mut tx, path, steps).await?;
    let table = "CREATE TABLE IF NOT EXISTS schema_step \
                 (step BIGINT NOT NULL PRIMARY KEY, name TEXT NOT NULL, checksum TEXT NOT NULL)";
    sqlx::query(table).execute(&mut *tx).await?;
    for (index, step) in steps.iter().enumerate().skip(applied) {
        sqlx::raw_sql(step.sql).execute(&mut *tx).await?;
        sqlx::query("INSERT INTO schema_step (step, name, checksum) VALUES ($1, $2, $3)")
            .bind(number(index))
            .bind(step.name)
            .bind(step.checksum())
            .execute(&mut *tx)
            .await?;
    }
    tx.commit().await?;
    Ok(())
}

/// Names of tables, indexes and triggers that are not the ones the steps in the
/// file make, those that are missing among them.
///
/// # Errors
/// Only what the storage reports.
pub(crate) async fn strange_objects(conn: &mut SqliteConnection) -> Result<Vec<String>, ShopError> {
    let applied = survey(conn, Path::new(""), STEPS).await?;
    let mut fresh = SqliteConnection::connect("sqlite::memory:").await?;
    migrate(&mut fresh, Path::new(""), &STEPS[..applied]).await?;
    let (wanted, found) = (objects(&mut fresh).await?, objects(conn).await?);
    let mut strange: Vec<String> =
        wanted.symmetric_difference(&found).map(|(kind, name, _)| format!("the {kind} {name}")).collect();
    strange.dedup();
    Ok(strange)
}

/// Every object of a database: kind, name and statement.
async fn objects(conn: &mut SqliteConnection) -> Result<BTreeSet<(String, String, String)>, ShopError> {
    let sql = "SELECT type, name, coalesce(sql, '') FROM sqlite_master";
    let rows = sqlx::query(sql).fetch_all(conn).await?;
    rows.iter().map(|row| Ok((row.try_get(0)?, row.try_get(1)?, row.try_get(2)?))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{By, Edit, Shop, Subject};
    use sqlx::sqlite::SqliteConnectOptions;

    async fn connect(path: &Path) -> SqliteConnection {
        let options = SqliteConnectOptions::new().filename(path).create_if_missing(true);
        SqliteConnection::connect_with(&options).await.unwrap()
    }

    /// Every object of the schema with its text, and the applied steps.
    async fn dump(path: &Path) -> Vec<String> {
        let mut conn = connect(path).await;
        let objects = "SELECT type || ' ' || name || ' ' || coalesce(sql, '') FROM sqlite_master ORDER BY 1";
        let steps = "SELECT step || ' ' || name || ' ' || checksum FROM schema_step ORDER BY step";
        let mut all: Vec<String> = sqlx::query_scalar(objects).fetch_all(&mut conn).await.unwrap();
        let applied: Vec<String> = sqlx::query_scalar(steps).fetch_all(&mut conn).await.unwrap();
        assert_eq!(applied.len(), STEPS.len());
        all.extend(applied);
        all
    }

    #[tokio::test]
    async fn fresh_equals_migrated_from_every_step() {
        let dir = tempfile::tempdir().unwrap();
        let fresh = dir.path().join("fresh.db");
        Shop::open(&fresh).await.unwrap().close().await;
        let wanted = dump(&fresh).await;
        for begin in 0..=STEPS.len() {
            let old = dir.path().join(format!("old{begin}.db"));
            let mut conn = connect(&old).await;
            migrate(&mut conn, &old, &STEPS[..begin]).await.unwrap();
            if begin > 0 {
                // Something written under the old schema must survive the rest.
                let row = "INSERT INTO counter (name, value) VALUES ('coupon', 41)";
                sqlx::query(row).execute(&mut conn).await.unwrap();
            }
            conn.close().await.unwrap();
            let shop = Shop::open(&old).await.unwrap();
            assert_eq!(shop.next_number().await.unwrap(), if begin > 0 { 42 } else { 1 });
            shop.close().await;
            assert_eq!(dump(&old).await, wanted, "migrated from step {begin}");
        }
    }

    /// The tables of a shop as it was before a step, with a history in them.
    async fn old_shop(path: &Path, steps: &[Step], from: &Path) {
        let mut conn = connect(path).await;
        migrate(&mut conn, path, steps).await.unwrap();
        sqlx::query("ATTACH $1 AS now").bind(from.to_str()).execute(&mut conn).await.unwrap();
        let copy = "INSERT INTO document SELECT * FROM now.document; \
                    INSERT INTO event SELECT * FROM now.event; \
                    INSERT INTO event_change SELECT * FROM now.event_change; \
                    INSERT INTO current_value SELECT * FROM now.current_value;";
        sqlx::raw_sql(copy).execute(&mut conn).await.unwrap();
        conn.close().await.unwrap();
    }

    #[tokio::test]
    async fn an_old_shop_with_rows_gets_the_new_subjects_and_still_verifies() {
        let dir = tempfile::tempdir().unwrap();
        let by = By::new("Rosa", 1);
        let now = dir.path().join("now.db");
        let shop = Shop::open(&now).await.unwrap();
        shop.create_person("ana", &[Edit::set("name", "Ana")], &by).await.unwrap();
        let made = shop.create_coupon("C-1", &[Edit::set("title", "x")], &by).await.unwrap();
        let kept =
            shop.change(Subject::Coupon, "C-1", made.version, &[Edit::set("title", "y")], &by).await.unwrap();
        let head = shop.head().await.unwrap();
        shop.close().await;

        let old = dir.path().join("old.db");
        old_shop(&old, &STEPS[..2], &now).await;
        let mut conn = connect(&old).await;
        let row = "INSERT INTO document VALUES ('procedure', 'P', 1, 1, 'a', 1, 'a')";
        let refused = sqlx::query(row).execute(&mut conn).await.unwrap_err();
        assert!(refused.to_string().contains("CHECK"), "the old schema knows no procedure: {refused}");
        conn.close().await.unwrap();

        let shop = Shop::open(&old).await.unwrap();
        assert_eq!(shop.head().await.unwrap(), head);
        assert_eq!(shop.verify().await.unwrap().faults, []);
        assert_eq!(shop.document(Subject::Coupon, "C-1").await.unwrap(), kept);
        for subject in [Subject::Procedure, Subject::Record] {
            let edits = [Edit::set("number", "1")];
            assert_eq!(shop.create(subject, "1", &edits, &by).await.unwrap().version, 1);
            assert_eq!(shop.list(subject, &[]).await.unwrap().len(), 1);
        }
        assert_eq!(shop.undo(Subject::Coupon, "C-1", 2, &by).await.unwrap().values["title"], "x");
        assert_eq!(shop.verify().await.unwrap().faults, []);
        shop.close().await;

        let mut conn = connect(&old).await;
        for (statement, why) in [
            ("INSERT INTO document VALUES ('plan', 'P', 1, 1, 'a', 1, 'a')", "CHECK"),
            ("DELETE FROM document WHERE id = 'C-1'", "FOREIGN KEY"),
            ("UPDATE event SET who = 'Ana'", "never changed"),
        ] {
            let error = sqlx::query(statement).execute(&mut conn).await.unwrap_err();
            assert!(error.to_string().contains(why), "{statement}: {error}");
        }
    }

    #[tokio::test]
    async fn a_shop_from_before_stamps_keeps_its_chain_and_takes_a_stamp() {
        let dir = tempfile::tempdir().unwrap();
        let by = By::new("Ida", 1);
        let now = dir.path().join("now.db");
        let shop = Shop::open(&now).await.unwrap();
        shop.create_coupon("C-1", &[Edit::set("title", "x")], &by).await.unwrap();
        shop.change(Subject::Coupon, "C-1", 1, &[Edit::set("title", "y")], &by).await.unwrap();
        let before = shop.verify().await.unwrap();
        shop.close().await;

        let old = dir.path().join("old.db");
        old_shop(&old, &STEPS[..3], &now).await;
        let mut conn = connect(&old).await;
        let row =
            "INSERT INTO event VALUES (3, 'coupon', 'C-1', 3, 1, 'a', 'stamp', NULL, NULL, NULL, 'p', 'h')";
        let refused = sqlx::query(row).execute(&mut conn).await.unwrap_err();
        assert!(refused.to_string().contains("CHECK"), "the old schema knows no stamp: {refused}");
        conn.close().await.unwrap();

        let shop = Shop::open(&old).await.unwrap();
        assert_eq!(shop.verify().await.unwrap(), before);
        assert_eq!(shop.stamp(Subject::Coupon, "C-1", 2, ["accept", "c"], &by).await.unwrap().version, 3);
        assert_eq!(shop.verify().await.unwrap().faults, []);
        shop.close().await;
        let mut conn = connect(&old).await;
        for statement in ["UPDATE event SET who = 'Ana'", "DELETE FROM event"] {
            assert!(sqlx::query(statement).execute(&mut conn).await.is_err(), "{statement}");
        }
    }

    #[tokio::test]
    async fn opening_again_changes_nothing() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("shop.db");
        let shop = Shop::open(&path).await.unwrap();
        shop.create_coupon("C-1", &[Edit::set("title", "x")], &By::new("Rosa", 1)).await.unwrap();
        shop.close().await;
        let before = dump(&path).await;
        let shop = Shop::open(&path).await.unwrap();
        assert_eq!(shop.document(Subject::Coupon, "C-1").await.unwrap().version, 1);
        shop.close().await;
        assert_eq!(dump(&path).await, before);
    }

    #[tokio::test]
    async fn a_future_or_altered_schema_is_refused_untouched() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("shop.db");
        Shop::open(&path).await.unwrap().close().await;
        let mut conn = connect(&path).await;
        let future = "INSERT INTO schema_step (step, name, checksum) VALUES (9, 'later', 'x')";
        sqlx::query(future).execute(&mut conn).await.unwrap();
        conn.close().await.unwrap();
        let bytes = std::fs::read(&path).unwrap();
        let error = Shop::open(&path).await.unwrap_err();
        assert!(matches!(error, ShopError::SchemaFromFuture { found: 9, known: 4 }), "{error}");
        assert!(error.to_string().contains("start the newer program"));
        assert_eq!(std::fs::read(&path).unwrap(), bytes, "a refused file is not written");

        let mut conn = connect(&path).await;
        let altered =
            "DELETE FROM schema_step WHERE step = 9; UPDATE schema_step SET checksum = 'y' WHERE step = 2";
        sqlx::raw_sql(altered).execute(&mut conn).await.unwrap();
        conn.close().await.unwrap();
        let error = Shop::open(&path).await.unwrap_err();
        assert!(matches!(error, ShopError::SchemaDiffers { step: 2, .. }), "{error}");
    }

    #[tokio::test]
    async fn two_programs_may_open_a_new_file_at_once() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("shop.db");
        let (left, right) = tokio::join!(Shop::open(&path), Shop::open(&path));
        let (left, right) = (left.unwrap(), right.unwrap());
        assert_eq!(left.next_number().await.unwrap(), 1);
        assert_eq!(right.next_number().await.unwrap(), 2);
    }

    #[tokio::test]
    async fn events_cannot_be_changed_or_removed_by_a_statement() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("shop.db");
        let shop = Shop::open(&path).await.unwrap();
        shop.create_coupon("C-1", &[Edit::set("title", "x")], &By::new("Rosa", 1)).await.unwrap();
        let mut conn = connect(&path).await;
        for statement in [
            "UPDATE event SET who = 'Ana'",
            "DELETE FROM event",
            "UPDATE event_change SET after_value = 'y'",
            "DELETE FROM event_change",
        ] {
            let error = sqlx::query(statement).execute(&mut conn).await.unwrap_err();
            assert!(error.to_string().contains("an event is never"), "{statement}: {error}");
        }
    }
}
