-- Rubbing out the last change asks which changes were taken back already.
create index change_by_undone on change (of_seq) where of_seq is not null;
