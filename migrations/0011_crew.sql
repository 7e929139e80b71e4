-- A guest by a link reads one plan; a link says which, who made it, and how often it was opened.
alter table person add column plan text;
alter table join_link add column plan text;
alter table join_link add column made_by text references person (id);
alter table join_link add column uses_made integer not null default 0;
