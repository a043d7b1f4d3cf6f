"""``bedplate bench``: one person with a gauge in one hand is asked, and answers.

Every answer is something and Enter; an empty Enter does nothing but show the prompt again. What
is asked next is worked out from the job each time, so a session can end anywhere and another one
goes on where it ended. Between Enter and the next prompt an answer is read, recorded for good,
and the fits that it touches are worked out; nothing else.
"""
