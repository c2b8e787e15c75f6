"""From a job to the programme's problem, and from its answer to named panels and layouts with cuts and offcuts."""
