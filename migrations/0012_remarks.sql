-- A short remark on any thing, open until somebody settles it.
create table remark (
    id text primary key,
    plan text,
    created_seq integer not null,
    removed_seq integer not null,
    versions text not null,
    about text not null,            -- id of the thing; empty: the plan
    words text not null,
    standing text not null,         -- open, settled
    said_by text not null,
    said_at text not null,
    settled_by text not null
) strict;
create index remark_by_plan on remark (plan);
