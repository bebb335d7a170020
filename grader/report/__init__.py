"""What people read: words, pictures and pages made from a graded record."""
