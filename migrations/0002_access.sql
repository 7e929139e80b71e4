-- Who may come in. None of this is journalled, exported or shown in history.
create table person (
    id text primary key,
    name text not null,
    name_key text not null unique,  -- folded, so that one name signs in one person
    role text not null check (role in ('lead', 'crew', 'supervisor', 'guest')),
    craft text not null default '', -- camera, light/haze, rig/model, art …: how the hand is shown
    passphrase_hash text,           -- argon2id; null until chosen
    made_at_ms integer not null,
    left_at_ms integer
) strict;

create table session (
    token_hash text primary key,    -- the cookie holds the token, the store only its hash
    person text not null references person (id),
    made_at_ms integer not null,
    seen_at_ms integer not null,
    from_address text not null
) strict;

create table join_link (
    token_hash text primary key,
    role text not null,
    person text references person (id), -- null: whoever opens it first becomes a new person
    uses_left integer not null,
    made_at_ms integer not null,
    expires_at_ms integer not null,
    withdrawn_at_ms integer
) strict;

create table passphrase_miss (
    subject text primary key,       -- person or address
    misses integer not null,
    last_at_ms integer not null
) strict;

-- Pictures, already re-encoded by the program: bounded in size and without place or camera data.
create table picture (
    id text primary key,            -- hash of the bytes
    plan text,
    kind text not null,             -- image/jpeg, image/png
    width_px integer not null,
    height_px integer not null,
    bytes blob not null,
    made_at_ms integer not null
) strict;
