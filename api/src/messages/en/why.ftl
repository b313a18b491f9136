# Why a number is what it is.

why-title = Why { $result }
why-hint = Each step with what went in and what came out; a calculator arrives at the same digits.
why-because = It leans on
