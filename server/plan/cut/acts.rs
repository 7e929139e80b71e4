//! What the buttons of the cut do: add, move, strike and put back shots; tie them to setups; note the pieces seen in them.

use super::shot::Shot;
use crate::{
    error::PageError,
    journal::{
        change::{Op, OpKind},
        decide::Refused,
        record::Entry,
        value::Id,
        writer::Ask,
    },
    plan::Plan,
    web::{
        fields::{self, Typed},
        page::Desk,
        units,
    },
};
use serde_json::{Map, Value as Json, json};
use std::sync::Arc;
use stillair_calc::order_key;

/// A form as it was sent.
pub struct Sent<'a>(pub &'a [(String, String)]);

impl Sent<'_> {
    /// What stands in an input; empty when it was not sent.
    pub fn text(&self, name: &str) -> &str {
        let found = self.0.iter().find(|(n, _)| n == name);
        found.map_or("", |(_, value)| value.trim())
    }
}

/// What came of a button.
#[derive(Debug, PartialEq, Eq)]
pub enum Done {
    /// There was no button.
    Nothing,
    /// It is done; the row has all its blanks open afterwards, if it had.
    Written,
    /// A shot was added.
    Added,
    /// A shot was struck out.
    Struck(Id),
}

/// Does what the pressed button says. A refusal is noted in `typed`, at the input it speaks of.
///
/// # Errors
/// A button that speaks of nothing here, or the store's.
pub async fn act(desk: &Desk, sent: &Sent<'_>, typed: &mut Typed) -> Result<Done, PageError> {
    let button = sent.text("do");
    let (verb, id) = button.split_once(':').unwrap_or((button, ""));
    let done = match verb {
        "" => return Ok(Done::Nothing),
        "add" => {
            add(desk, sent, typed).await?;
            Done::Added
        }
        "up" | "down" => {
            let ops = moved(&desk.plan, shot(&desk.plan, id)?, verb == "up");
            write(desk, ops, typed, "do", "").await?;
            Done::Written
        }
        "strike" => {
            let shot = shot(&desk.plan, id)?.id.clone();
            let op = Op::remove(shot.clone(), desk.plan.number());
            write(desk, vec![op], typed, "do", "").await?;
            Done::Struck(shot)
        }
        "restore" => {
            put_back(desk, id, typed).await?;
            Done::Written
        }
        "tie" => {
            let shot = shot(&desk.plan, id)?;
            let (chosen, new) = (sent.text("tie-setup"), sent.text("tie-new"));
            tie_chosen(desk, shot, chosen, new, typed).await?;
            Done::Written
        }
        "see" => {
            let shot = shot(&desk.plan, id)?;
            see(desk, shot, sent, typed).await?;
            Done::Written
        }
        "untie" | "unsee" => {
            let op = take_away(&desk.plan, verb, id)?;
            write(desk, vec![op], typed, "do", "").await?;
            Done::Written
        }
        _ => return Err(PageError::BadRequest("There is no such button.".into())),
    };
    Ok(done)
}

fn shot<'a>(plan: &'a Plan, id: &str) -> Result<&'a Entry<Shot>, PageError> {
    Id::parse(id)
        .and_then(|id| plan.shots.get(&id))
        .ok_or_else(|| PageError::no_such("shot"))
}

/// Writes ops as one, so that one undo takes them back; a refusal goes to the blank named by `key`.
async fn write(
    desk: &Desk,
    ops: Vec<Op>,
    typed: &mut Typed,
    key: &str,
    text: &str,
) -> Result<(), PageError> {
    if ops.is_empty() {
        return Ok(());
    }
    let ask = Ask {
        plan: desk.plan.id.clone(),
        batch: (ops.len() > 1).then(|| Arc::from(Id::new().as_str())),
        ops,
        atomic: true,
        actor: desk.hand.id.as_str().into(),
        client: desk.hand.client.clone(),
    };
    let replies = desk.app.store.write(ask).await?;
    let refused = replies
        .iter()
        .filter_map(|reply| reply.result.as_ref().err());
    // Where one of several is wrong, the others are refused with nothing to say.
    let speaks = |refused: &&Refused| !matches!(refused, Refused::Invalid(list) if list.is_empty());
    if let Some(refused) = refused.clone().find(speaks) {
        typed.refuse(key.into(), text.into(), fields::sentence(refused));
    }
    Ok(())
}

/// A key after the last of a list.
fn key_after<'a>(keys: impl Iterator<Item = &'a str>) -> String {
    let last = keys.last().filter(|key| !key.is_empty());
    order_key::between(last, None).unwrap_or_else(|_| order_key::spread(1).remove(0))
}

/// A new shot from its form: code, name, length, and the shot it comes after.
async fn add(desk: &Desk, sent: &Sent<'_>, typed: &mut Typed) -> Result<(), PageError> {
    let plan = &desk.plan;
    let mut fields = Map::new();
    fields.insert("code".into(), sent.text("new-code").into());
    fields.insert("name".into(), sent.text("new-name").into());
    let length = sent.text("new-length");
    if !length.is_empty() {
        if let Some(frames) = units::parse_length(length, plan.base_fps()) {
            fields.insert("length_frames".into(), frames.into())
        } else {
            let problem =
                "Write the length as frames (162), seconds and frames (6:12) or seconds (6.48 s).";
            typed.refuse("new.length".into(), length.into(), problem.into());
            return Ok(());
        };
    }
    let shots = plan.shots_in_order();
    let after = shots
        .iter()
        .position(|shot| shot.id.as_str() == sent.text("new-after"));
    let index = after.map_or(shots.len(), |at| at + 1);
    let (key, mut ops) = place(plan, &shots, index);
    fields.insert("order_key".into(), key.into());
    // A new shot is in the scene of the one before it.
    if let Some(scene) = index
        .checked_sub(1)
        .and_then(|at| shots[at].scene.as_ref())
        .filter(|scene| plan.scenes.get(scene).is_some())
    {
        fields.insert("scene".into(), scene.as_str().into());
    }
    ops.push(Op::insert("shot", Id::new(), Json::Object(fields)));
    write(desk, ops, typed, "new.code", sent.text("new-code")).await
}

/// The key of a row put before `index` of the shots given, and the rows that have to get another key for it.
fn place(plan: &Plan, shots: &[&Entry<Shot>], index: usize) -> (String, Vec<Op>) {
    let keys: Vec<&str> = shots.iter().map(|shot| &*shot.order_key).collect();
    let base = plan.number();
    let set = |at: usize, key: String| Op {
        kind: OpKind::Move,
        ..Op::set(shots[at].id.clone(), "order_key", base, key.into())
    };
    if let Ok(placed) = order_key::insert_at(&keys, index)
        && !order_key::needs_fresh_keys(&placed.key)
    {
        let parted = placed.parted.into_iter().map(|(at, key)| set(at, key));
        return (placed.key, parted.collect());
    }
    // Keys that came from elsewhere, or have grown too long: the whole list gets fresh ones.
    let mut fresh = order_key::spread(shots.len() + 1);
    let own = fresh.remove(index);
    let all = fresh.into_iter().enumerate().map(|(at, key)| set(at, key));
    (own, all.collect())
}

/// A shot moved by one place; nothing at either end.
fn moved(plan: &Plan, shot: &Entry<Shot>, is_up: bool) -> Vec<Op> {
    let mut shots = plan.shots_in_order();
    let Some(at) = shots.iter().position(|s| s.id == shot.id) else {
        return Vec::new();
    };
    let to = if is_up {
        at.checked_sub(1)
    } else {
        Some(at + 1)
    };
    let Some(to) = to.filter(|to| *to < shots.len()) else {
        return Vec::new();
    };
    shots.remove(at);
    let (key, mut ops) = place(plan, &shots, to);
    ops.push(Op {
        kind: OpKind::Move,
        ..Op::set(shot.id.clone(), "order_key", plan.number(), key.into())
    });
    ops
}

/// Puts a struck-out shot back, with the passes and sightings that were struck out with it.
async fn put_back(desk: &Desk, id: &str, typed: &mut Typed) -> Result<(), PageError> {
    let plan = &desk.plan;
    let shot = plan
        .shots
        .any(id)
        .ok_or_else(|| PageError::no_such("shot"))?;
    if shot.removed_seq == 0 {
        return Ok(());
    }
    if plan.shot_by_code(&shot.code).is_some() {
        let problem = format!(
            "Another shot is called {} now. Give that one another code, then put this one back.",
            shot.code
        );
        typed.refuse("do".into(), String::new(), problem);
        return Ok(());
    }
    let with = sqlx::query_scalar!(
        "select entity from change where batch = (select batch from change where seq = ?)
           and kind in ('remove', 'undo') and outcome = 'applied' and entity_type in ('pass', 'sighting')",
        shot.removed_seq
    )
    .fetch_all(desk.app.store.readers())
    .await?;
    let base = plan.number();
    let with = with.iter().filter_map(|id| Id::parse(id));
    let ops = std::iter::once(shot.id.clone())
        .chain(with)
        .map(|id| Op::restore(id, base));
    write(desk, ops.collect(), typed, "do", "").await
}

/// Makes a pass of a shot in a setup that stands, or in a new one.
async fn tie_chosen(
    desk: &Desk,
    shot: &Entry<Shot>,
    chosen: &str,
    new: &str,
    typed: &mut Typed,
) -> Result<(), PageError> {
    let key = format!("{}.tie", shot.id);
    let code = if new.is_empty() {
        let setup = Id::parse(chosen).and_then(|id| desk.plan.setups.get(&id));
        setup.map_or("", |setup| &*setup.code).to_owned()
    } else {
        new.to_owned()
    };
    if code.is_empty() {
        let problem = "Choose a setup, or write the code of a new one.";
        typed.refuse(key, String::new(), problem.into());
        return Ok(());
    }
    tie(desk, shot, &code, typed, &key).await
}

/// Makes a pass, its element main, in the setup of that code; a code that no setup has makes one.
async fn tie(
    desk: &Desk,
    shot: &Entry<Shot>,
    code: &str,
    typed: &mut Typed,
    key: &str,
) -> Result<(), PageError> {
    let plan = &desk.plan;
    let mut ops = Vec::new();
    let (setup, pass_key) = if let Some(setup) = plan.setup_by_code(code) {
        let passes = plan.passes_of_setup(&setup.id);
        let stands = passes
            .iter()
            .any(|p| p.shot.as_ref() == Some(&shot.id) && &*p.element == "main");
        if stands {
            let problem = format!("{code} makes {} already.", shot.code);
            typed.refuse(key.into(), code.into(), problem);
            return Ok(());
        }
        let pass_key = key_after(passes.iter().map(|p| &*p.order_key));
        (setup.id.clone(), pass_key)
    } else {
        let id = Id::new();
        let setup_key = key_after(plan.setups_in_order().iter().map(|s| &*s.order_key));
        let fields = json!({"code": code, "order_key": setup_key});
        ops.push(Op::insert("setup", id.clone(), fields));
        (id, key_after(std::iter::empty()))
    };
    let fields = json!({"shot": shot.id.as_str(), "setup": setup.as_str(), "element": "main", "order_key": pass_key});
    ops.push(Op::insert("pass", Id::new(), fields));
    write(desk, ops, typed, key, code).await
}

/// Setups written straight into rows that had none.
///
/// # Errors
/// The store's.
pub async fn tie_written(
    mut desk: Desk,
    sent: &Sent<'_>,
    typed: &mut Typed,
) -> Result<Desk, PageError> {
    let single = match sent.text("field") {
        "made_in" => Some(sent.text("entity")),
        field => field.strip_suffix(".made_in"),
    };
    let one = single.map(|shot| (shot.to_owned(), sent.text("value").to_owned()));
    let whole = sent.0.iter().filter_map(|(name, value)| {
        let shot = name.strip_suffix(".made_in")?;
        Some((shot.to_owned(), value.trim().to_owned()))
    });
    let asked: Vec<_> = one
        .into_iter()
        .chain(whole)
        .filter(|(_, code)| !code.is_empty())
        .collect();
    for (id, code) in asked {
        let plan = desk.plan.clone();
        let shot = shot(&plan, &id)?;
        // Another hand may have tied it since the page was made.
        let is_tied = plan.passes_of_shot(&shot.id).iter().any(|pass| {
            let setup = pass.setup.as_ref().and_then(|id| plan.setups.get(id));
            setup.is_some_and(|setup| *setup.code == *code)
        });
        if !is_tied {
            let key = format!("{id}.made_in");
            tie(&desk, shot, &code, typed, &key).await?;
            desk = desk.again().await?;
        }
    }
    Ok(desk)
}

/// Notes a piece as seen in a shot: one from stores, or a new one by its name.
async fn see(
    desk: &Desk,
    shot: &Entry<Shot>,
    sent: &Sent<'_>,
    typed: &mut Typed,
) -> Result<(), PageError> {
    let key = format!("{}.see", shot.id);
    let (chosen, new) = (sent.text("see-piece"), sent.text("see-new"));
    let studio = &desk.plan.studio;
    let standing = if new.is_empty() {
        Id::parse(chosen).and_then(|id| studio.pieces.get(&id))
    } else {
        studio.pieces.iter().find(|piece| *piece.name == *new)
    };
    let mut ops = Vec::new();
    let piece = match standing {
        Some(piece) => piece.id.clone(),
        None if new.is_empty() => {
            let problem = "Choose a piece, or write the name of a new one.";
            typed.refuse(key, String::new(), problem.into());
            return Ok(());
        }
        None => {
            let id = Id::new();
            let mut keys: Vec<_> = studio.pieces.iter().map(|p| &*p.order_key).collect();
            keys.sort_unstable();
            let fields = json!({"name": new, "order_key": key_after(keys.into_iter())});
            ops.push(Op::insert("piece", id.clone(), fields));
            id
        }
    };
    let fields =
        json!({"shot": shot.id.as_str(), "piece": piece.as_str(), "face": sent.text("see-face")});
    ops.push(Op::insert("sighting", Id::new(), fields));
    write(desk, ops, typed, &key, new).await
}

/// Strikes out a pass or a sighting.
fn take_away(plan: &Plan, verb: &str, id: &str) -> Result<Op, PageError> {
    let id = Id::parse(id).ok_or_else(|| PageError::no_such("line"))?;
    let stands = if verb == "untie" {
        plan.passes.get(&id).is_some()
    } else {
        plan.sightings.get(&id).is_some()
    };
    if stands {
        Ok(Op::remove(id, plan.number()))
    } else {
        Err(PageError::no_such("line"))
    }
}
