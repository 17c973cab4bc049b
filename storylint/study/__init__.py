"""The study of a draft: sentences, people, places, dates, patterns and voice."""
