//! Lists out of a plan and shot lists into one, without a browser.

use crate::{
    api::{plans::plan_json, refused_error},
    journal::{value::Id, writer::Ask},
    plan::{
        Plan,
        handover::{self, Options, RowError, csv::Audience, give, store},
    },
    store::Store,
};
use std::{fmt::Display, fs, io::Write as _, path::Path, sync::Arc};

/// Writes a list out of a plan.
///
/// # Errors
/// One sentence: no such plan or list, or the disk.
pub async fn export(
    data: &Path,
    plan: &str,
    kind: &str,
    file: Option<&Path>,
) -> Result<(), String> {
    let (store, plan) = open(data, plan).await?;
    let text = match kind {
        "shots.csv" => give::shots(&plan, Audience::Programs),
        "setups.csv" => give::setups(&plan, Audience::Programs),
        "plan.json" => plan_json(&plan).to_string(),
        _ => {
            return Err(format!(
                "There is no list “{kind}”. There are shots.csv, setups.csv and plan.json."
            ));
        }
    };
    let done = match file {
        Some(file) => fs::write(file, text),
        None => std::io::stdout().write_all(text.as_bytes()),
    };
    store.close().await;
    done.map_err(|error| format!("The list could not be written: {error}."))
}

/// Brings a shot list into a plan.
///
/// # Errors
/// One sentence, or one a fault.
pub async fn import(data: &Path, plan: &str, file: &Path) -> Result<(), String> {
    let bytes = fs::read(file)
        .map_err(|error| format!("{} could not be read: {error}.", file.display()))?;
    let (store, plan) = open(data, plan).await?;
    let options = Options {
        base_fps: plan.base_rate(),
        ..Options::default()
    };
    let name = file.file_name().unwrap_or_default().to_string_lossy();
    let look = handover::read(&bytes, &name, &options).map_err(words)?;
    if !look.is_storable() {
        let faults: Vec<String> = look.errors.iter().map(RowError::sentence).collect();
        return Err(format!("Nothing was stored.\n{}", faults.join("\n")));
    }
    let against = store::against(&plan, &look);
    let ask = Ask {
        plan: plan.id.clone(),
        ops: store::ops(&plan, &look, &against),
        atomic: true,
        batch: Some(Id::new().as_str().into()),
        actor: "import".into(),
        client: "command".into(),
    };
    let written = ask.ops.len();
    for reply in store.write(ask).await.map_err(words)? {
        reply
            .result
            .map_err(|refused| words(refused_error(refused)))?;
    }
    store.close().await;
    let _ = writeln!(
        std::io::stdout(),
        "{} shots read; {written} changes written.",
        look.rows.len()
    );
    Ok(())
}

fn words(error: impl Display) -> String {
    error.to_string()
}

/// The book of a folder, and the plan that is called so.
async fn open(data: &Path, called: &str) -> Result<(Store, Arc<Plan>), String> {
    let store = Store::open(data).await.map_err(words)?;
    let plans = store.plans().await.map_err(words)?;
    let found: Vec<_> = plans
        .iter()
        .filter(|p| p.id.as_str() == called || p.title == called)
        .collect();
    let listed = match found.as_slice() {
        [one] => *one,
        [] => {
            let titles: Vec<_> = plans.iter().map(|p| p.title.as_str()).collect();
            return Err(format!(
                "There is no plan called “{called}” in this book. There are: {}.",
                titles.join(", ")
            ));
        }
        _ => {
            return Err(format!(
                "More than one plan is called “{called}”; name it by its id."
            ));
        }
    };
    let plan = store.plan(&listed.id).await.map_err(words)?;
    let plan = plan.ok_or_else(|| format!("There is no plan called “{called}” in this book."))?;
    Ok((store, plan))
}
