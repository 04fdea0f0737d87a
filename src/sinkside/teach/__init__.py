"""Teaching: lessons, questions, observation, sign-offs and memory, all made from the approved instruction."""
