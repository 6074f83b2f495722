-- Take away what files that are to be read anew had brought.
DELETE FROM {{table}}
WHERE source_id IN (SELECT source_id FROM sources WHERE list_contains($fingerprints, sha256));
