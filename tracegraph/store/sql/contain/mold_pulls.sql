-- Pulls of a mold that were counted, and how many of them belong to a recorded part.
SELECT
    min(pull_no) AS first_pull, max(pull_no) AS last_pull, count(DISTINCT pull_no) AS recorded
FROM part_index
WHERE mold_no = $mold_no AND pull_no IS NOT NULL;
