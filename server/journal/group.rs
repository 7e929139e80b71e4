//! A group of asks on its way into one commit: plans as they will be, changes not yet stored.

use super::{
    apply,
    ask::{Ask, Reply},
    change::{Change, Op, OpKind, Outcome},
    decide::{Draft, Others, Refused, Sight, decide, invalid},
    load,
    quiet::{Later, is_quiet, later_on},
    value::Id,
    writer::now_ms,
};
use crate::{
    plan::{Plan, Scope as _, Studio},
    store::Shared,
};
use sqlx::SqliteConnection;
use std::{collections::HashMap, sync::Arc};

/// Everything as it will be once the group is committed.
pub(super) struct Group {
    /// What the plans share.
    pub studio: Arc<Studio>,
    /// Plans touched so far.
    pub plans: HashMap<Id, Plan>,
    /// Newest number given out.
    pub newest: i64,
    /// Changes so far, in order.
    pub changes: Vec<Arc<Change>>,
    /// Their places by op id.
    ops: HashMap<Arc<str>, usize>,
}

/// What the journal says about the ids an ask names, read before anything is decided.
#[derive(Default)]
pub(super) struct Known {
    ops: HashMap<Arc<str>, Change>,
    changes: Vec<Arc<Change>>,
    others: Others,
    /// What was written later where undos go.
    later: Vec<Later>,
}

impl Known {
    /// Reads it. `is_known` says of an op id whether the journal may have it.
    pub async fn read(
        db: &mut SqliteConnection,
        ask: &Ask,
        group: &Group,
        is_known: impl Fn(&str) -> bool,
    ) -> Result<Self, sqlx::Error> {
        let mut known = Self::default();
        for op in &ask.ops {
            for op_id in std::iter::once(&op.op_id).chain(&op.after) {
                if is_known(op_id) && !group.ops.contains_key(op_id) {
                    let found = load::change_by_op(db, op_id).await?;
                    known.ops.extend(found.map(|c| (op_id.clone(), c)));
                }
            }
            if let (OpKind::Undo, Some(of_seq)) = (op.kind, op.of_seq) {
                known.read_undone(db, of_seq, op.whole_batch).await?;
            }
        }
        let inserts = ask.ops.iter().filter(|op| op.kind == OpKind::Insert);
        let ids: Vec<_> = inserts.filter_map(|op| op.entity.as_ref()).collect();
        if !ids.is_empty() {
            known.others.taken = load::ids_of_other_plans(db, &ids, &ask.plan).await?;
            let coming = group.changes.iter().filter(|c| {
                c.plan.as_ref().is_some_and(|p| *p != ask.plan) && ids.contains(&&c.entity)
            });
            known.others.taken.extend(coming.map(|c| c.entity.clone()));
        }
        let strikes_shared = known.changes.iter().any(|c| c.plan.is_none())
            || ask.ops.iter().any(|op| {
                let thing = op
                    .entity
                    .as_ref()
                    .and_then(|id| group.studio.find(id.as_str()));
                op.kind == OpKind::Remove && thing.is_some()
            });
        if strikes_shared {
            known.others.referrers = load::referrers_in_other_plans(db, &ask.plan).await?;
        }
        Ok(known)
    }

    async fn read_undone(
        &mut self,
        db: &mut SqliteConnection,
        of_seq: i64,
        whole_batch: bool,
    ) -> Result<(), sqlx::Error> {
        let Some(change) = load::change(db, of_seq).await? else {
            return Ok(());
        };
        let named: Vec<_> = match change.batch.clone().filter(|_| whole_batch) {
            Some(batch) => {
                let all = load::batch(db, &batch).await?;
                all.into_iter().map(Arc::new).collect()
            }
            None => vec![Arc::new(change)],
        };
        self.later.extend(later_on(db, &named).await?);
        self.changes.extend(named);
        Ok(())
    }
}

impl Group {
    /// Nothing asked yet.
    pub fn new(shared: &Shared, newest: i64) -> Self {
        Self {
            studio: shared.studio(),
            plans: HashMap::new(),
            newest,
            changes: Vec::new(),
            ops: HashMap::new(),
        }
    }

    /// Decides all ops of an ask and advances the plan by them; an atomic one with a refusal leaves no trace.
    pub fn decide(&mut self, ask: &Ask, plan: &mut Plan, known: &Known) -> Vec<Reply> {
        plan.studio = self.studio.clone();
        let first = self.changes.len();
        let before = ask.atomic.then(|| (plan.clone(), self.newest));
        let mut replies: Vec<Reply> = Vec::with_capacity(ask.ops.len());
        for op in &ask.ops {
            replies.push(Reply {
                op_id: op.op_id.clone(),
                result: self.take(ask, op, plan, known),
            });
        }
        if let Some((before, newest)) = before
            && replies.iter().any(|r| r.result.is_err())
        {
            *plan = before;
            self.forget_from(first, newest);
            for reply in replies.iter_mut().filter(|r| r.result.is_ok()) {
                reply.result = Err(Refused::Invalid(Vec::new()));
            }
        }
        self.studio = plan.studio.clone();
        replies
    }

    fn forget_from(&mut self, first: usize, newest: i64) {
        self.changes.truncate(first);
        self.ops.retain(|_, place| *place < first);
        self.newest = newest;
    }

    /// Number, outcome and body of an op that is already stored, or will be with this group.
    fn stored<'a>(&'a self, known: &'a Known, op_id: &str) -> Option<&'a Change> {
        self.ops
            .get(op_id)
            .map(|place| &*self.changes[*place])
            .or_else(|| known.ops.get(op_id))
    }

    /// Decides one op and advances the plan by it.
    fn take(
        &mut self,
        ask: &Ask,
        op: &Op,
        plan: &mut Plan,
        known: &Known,
    ) -> Result<(i64, Outcome), Refused> {
        let body_hash = op.body_hash();
        if let Some(stored) = self.stored(known, &op.op_id) {
            return if stored.body_hash == body_hash {
                Ok((stored.seq, stored.outcome))
            } else {
                Err(Refused::SameKeyOtherContent)
            };
        }
        let mut op = op.clone();
        if let Some(earlier) = op.after.as_deref().and_then(|a| self.stored(known, a)) {
            // What was kept beside did not become the value, so the next edit knows no more than it did.
            op.base = match earlier.outcome {
                Outcome::Applied | Outcome::SameValue => Some(earlier.seq),
                Outcome::KeptBeside | Outcome::KeptBesideRemoval => earlier.base,
            };
        }
        if op.kind != OpKind::Undo {
            return self.alone(ask, &op, plan, known, &body_hash);
        }
        let undone = self.undone(ask, &op, known);
        if undone.len() > 1 {
            return self.take_back_batch(ask, &op, &undone, plan, known, &body_hash);
        }
        let since = self.quiet_since(&undone, known).unwrap_or(i64::MAX);
        let sight = self.sight(ask, &undone, since, &known.others);
        let drafts = decide(plan, &op, &sight)?;
        Ok(self.keep(ask, &op, drafts, ask.batch.clone(), plan, &body_hash))
    }

    fn alone(
        &mut self,
        ask: &Ask,
        op: &Op,
        plan: &mut Plan,
        known: &Known,
        body_hash: &Arc<str>,
    ) -> Result<(i64, Outcome), Refused> {
        let drafts = decide(plan, op, &self.sight(ask, &[], i64::MAX, &known.others))?;
        Ok(self.keep(ask, op, drafts, ask.batch.clone(), plan, body_hash))
    }

    fn sight<'a>(
        &self,
        ask: &'a Ask,
        undone: &'a [Arc<Change>],
        since: i64,
        others: &'a Others,
    ) -> Sight<'a> {
        Sight {
            newest: self.newest,
            actor: &ask.actor,
            undone,
            since,
            others,
        }
    }

    /// The number since which nothing stands where an undo goes; none when something does.
    fn quiet_since(&self, undone: &[Arc<Change>], known: &Known) -> Option<i64> {
        let last = undone.iter().map(|c| c.seq).max()?;
        let coming = self
            .changes
            .iter()
            .filter(|c| c.outcome == Outcome::Applied);
        let coming: Vec<_> = coming.map(|c| Later::of(c)).collect();
        let mut later: Vec<_> = known.later.iter().chain(&coming).collect();
        later.sort_by_key(|l| l.seq);
        is_quiet(undone, &later).then_some(last)
    }

    /// The change an undo speaks of, with its batch if the whole batch is meant, oldest first.
    fn undone(&self, ask: &Ask, op: &Op, known: &Known) -> Vec<Arc<Change>> {
        let own = || self.changes.iter().chain(&known.changes);
        let Some(named) = own().find(|c| Some(c.seq) == op.of_seq) else {
            return Vec::new();
        };
        let in_batch = |c: &&Arc<Change>| {
            op.whole_batch && c.batch.is_some() && c.batch == named.batch && c.actor == ask.actor
        };
        let mut found: Vec<_> = own()
            .filter(|c| c.seq == named.seq || in_batch(c))
            .cloned()
            .collect();
        found.sort_by_key(|c| c.seq);
        found.dedup_by_key(|c| c.seq);
        found
    }

    /// Takes a batch back in reverse: all of it, or none if a part cannot be.
    fn take_back_batch(
        &mut self,
        ask: &Ask,
        op: &Op,
        undone: &[Arc<Change>],
        plan: &mut Plan,
        known: &Known,
        body_hash: &Arc<str>,
    ) -> Result<(i64, Outcome), Refused> {
        let (saved, since, first) = (plan.clone(), self.newest, self.changes.len());
        let quiet = self.quiet_since(undone, known);
        let batch: Arc<str> = op.op_id.clone();
        let parts: Vec<_> = undone
            .iter()
            .rev()
            .filter(|c| c.outcome != Outcome::SameValue && c.kind != OpKind::Append)
            .collect();
        let mut worst = Err(invalid(
            "of_seq",
            "out_of_range",
            "That change altered nothing.",
        ));
        for (place, change) in parts.iter().enumerate() {
            let part = Op {
                // The last part answers for the op.
                op_id: if place + 1 == parts.len() {
                    op.op_id.clone()
                } else {
                    Id::new().as_str().into()
                },
                of_seq: Some(change.seq),
                ..op.clone()
            };
            let sight = self.sight(ask, undone, quiet.unwrap_or(since), &known.others);
            match decide(plan, &part, &sight) {
                Ok(drafts) => {
                    worst = Ok(self.keep(ask, &part, drafts, Some(batch.clone()), plan, body_hash));
                }
                Err(refused) => {
                    *plan = saved;
                    self.forget_from(first, since);
                    return Err(refused);
                }
            }
        }
        worst
    }

    /// Numbers the drafts and advances the plan by them; the last one answers for the op.
    fn keep(
        &mut self,
        ask: &Ask,
        op: &Op,
        drafts: Vec<Draft>,
        batch: Option<Arc<str>>,
        plan: &mut Plan,
        body_hash: &Arc<str>,
    ) -> (i64, Outcome) {
        let count = drafts.len();
        let batch = batch.or_else(|| (count > 1).then(|| op.op_id.clone()));
        let mut answer = (self.newest, Outcome::SameValue);
        for (place, draft) in drafts.into_iter().enumerate() {
            self.newest += 1;
            let change = Change {
                seq: self.newest,
                plan: (!draft.shared).then(|| plan.id.clone()),
                // What an op brings along has an id of its own; a retry asks for the op's.
                op_id: if place + 1 == count {
                    op.op_id.clone()
                } else {
                    Id::new().as_str().into()
                },
                batch: batch.clone(),
                client: ask.client.clone(),
                actor: ask.actor.clone(),
                at_server_ms: now_ms(),
                at_client_ms: op.at_client_ms,
                kind: draft.kind,
                entity_type: draft.entity_type.into(),
                entity: draft.entity,
                field: draft.field.map(Into::into),
                base: op.base,
                value: draft.value,
                before: draft.before,
                outcome: draft.outcome,
                of_seq: draft.of_seq,
                body_hash: body_hash.clone(),
            };
            answer = (change.seq, change.outcome);
            if draft.shared {
                apply::to_studio(Arc::make_mut(&mut plan.studio), &change);
            } else {
                apply::to_plan(plan, &change);
            }
            self.ops.insert(change.op_id.clone(), self.changes.len());
            self.changes.push(Arc::new(change));
        }
        answer
    }
}
