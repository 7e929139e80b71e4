-- The journal: every write, once, for ever. Present state stands in the record tables beside it.
create table meta (
    name text primary key,
    value text not null
) strict;

create table change (
    seq integer primary key autoincrement,
    plan text,                      -- null: what the studio's plans share
    op_id text not null unique,     -- the maker's own id for this write, so that a retry is harmless
    batch text,                     -- writes made together are undone together
    client text not null,           -- the browser or program it came from
    actor text not null,            -- person id, or a word for the program itself
    at_server_ms integer not null,
    at_client_ms integer,           -- shown, never used for order
    kind text not null,             -- set insert remove restore move add take_out append resolve undo
    entity_type text not null,
    entity text not null,
    field text,
    base integer,
    value text,                     -- JSON
    before text,                    -- JSON
    outcome text not null,
    of_seq integer,                 -- undo: the change taken back
    body_hash text not null         -- same op_id with another body is refused
) strict;
create index change_by_plan on change (plan, seq);
create index change_by_entity on change (entity, seq);
create trigger change_is_never_edited before update on change
begin
    select raise(abort, 'the journal is append-only');
end;
create trigger change_is_never_deleted before delete on change
begin
    select raise(abort, 'the journal is append-only');
end;

-- Values that another hand wrote into the same blank, kept beside the head until somebody settles it.
create table beside (
    seq integer primary key references change (seq),
    plan text,
    entity text not null,
    field text not null,            -- empty: a removal kept beside, or an edit kept beside a removal
    value text not null,            -- JSON
    actor text not null,
    at_ms integer not null,
    settled_seq integer             -- null while open
) strict;
create index beside_open on beside (plan) where settled_seq is null;
