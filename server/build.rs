//! Applies `migrations/` to a scratch file, so that SQL is checked while compiling and a declared field without its
//! column (or a column without its field) does not compile.

use sqlx::{Connection as _, Row as _};
use std::{env, fmt::Write as _, fs, path::Path};

fn main() {
    println!("cargo::rerun-if-changed=migrations");
    println!("cargo::rerun-if-changed=server/build.rs");
    println!("cargo::rerun-if-changed=static");
    let out_dir = env::var("OUT_DIR").expect("cargo sets OUT_DIR for build scripts");
    let scratch = Path::new(&out_dir).join("schema.db");
    for suffix in ["", "-wal", "-shm"] {
        let _ = fs::remove_file(format!("{}{suffix}", scratch.display()));
    }
    let url = format!("sqlite://{}?mode=rwc", scratch.display());
    let columns = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("a runtime starts")
        .block_on(migrate_and_list(&url));
    fs::write(Path::new(&out_dir).join("columns.rs"), columns).expect("OUT_DIR is writable");
    println!(
        "cargo::rustc-env=DATABASE_URL=sqlite://{}",
        scratch.display()
    );
}

/// Every column of every table, as a constant the record declarations are checked against.
async fn migrate_and_list(url: &str) -> String {
    let mut db = sqlx::SqliteConnection::connect(url)
        .await
        .expect("a scratch database opens");
    sqlx::migrate::Migrator::new(Path::new("migrations"))
        .await
        .expect("migrations/ can be read")
        .run(&mut db)
        .await
        .expect("migrations apply to an empty file");
    let rows = sqlx::query(
        "select m.name, c.name, c.type, c.\"notnull\" from sqlite_master m, pragma_table_info(m.name) c where m.type = 'table' order by m.name, c.cid",
    )
    .fetch_all(&mut db)
    .await
    .expect("the schema can be listed");
    let mut text = String::from("pub(crate) const COLUMNS: &[(&str, &str, &str, bool)] = &[\n");
    for row in rows {
        let (table, column, kind, needed): (String, String, String, i64) =
            (row.get(0), row.get(1), row.get(2), row.get(3));
        let _ = writeln!(
            text,
            "    ({table:?}, {column:?}, {kind:?}, {}),",
            needed != 0
        );
    }
    text + "];\n"
}
