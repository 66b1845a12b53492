-- The day on which the weight that a herd was entered with was taken; where nobody said, the day it was entered.
ALTER TABLE herd ADD COLUMN taken_on DATE;
