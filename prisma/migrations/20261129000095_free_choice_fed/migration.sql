-- A part of a feeding may have been kept in front of the cattle, as the ration says it: none of it is wasted.
ALTER TABLE feeding_layer ADD COLUMN free_choice BOOLEAN NOT NULL DEFAULT false;
