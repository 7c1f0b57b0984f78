"""What a book is for: a term's plan, a syllabus, what it covers, the studies of one student.

Stage:    curriculum (pure; only values of `theory` come in)
In, Out:  studies and rules; plans, tables and findings for pages, the report and JSON
"""
