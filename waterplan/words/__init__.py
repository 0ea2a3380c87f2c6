"""Every sentence that a reader meets: a phrase book, and a speaker that puts a plan into its words."""
