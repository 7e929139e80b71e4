-- Which heading of a crew's shot lists stands for which field, where somebody said so. Not journalled: it only saves asking again.
create table remembered_heading (
    plan text not null,
    heading text not null,          -- lower case, punctuation dropped, as headings are compared
    field text,                     -- null: the column is left out
    primary key (plan, heading)
) strict, without rowid;
