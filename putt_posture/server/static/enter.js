/* Presses the button on the computer that started the program. */
document.getElementById("enter").submit();
