-- A file whose records were reversed is entered again: two done imports of it. A lock on the file keeps two at once apart.
DROP INDEX data_import_once;
