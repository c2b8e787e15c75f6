"""Jobs begun: measuring sheets and their filled tables, questions at the terminal, forms; job files written."""
