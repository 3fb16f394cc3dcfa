' --- A call: arguments as values, the answer with true cell errors ---

Private Function Answer(ByVal name As String, ByVal given As Variant) As Variant
    Dim values() As Variant, place As Long
    On Error GoTo failed
    If Not IsArray(given) Then
        Answer = Shown(Asked(name, Array()))
        Exit Function
    End If
    ReDim values(LBound(given) To UBound(given))
    For place = LBound(given) To UBound(given)
        If Not IsMissing(given(place)) Then values(place) = Plain(given(place))
    Next place
    Answer = Shown(Asked(name, values))
    Exit Function
failed:
    If name = "ENTRY_PROBLEM" Then
        Answer = Left$("The functions cannot be reached: " & OneLine(Err.Description), 255)
    Else
        Answer = CVErr(2015)
    End If
End Function

Private Function OneLine(ByVal text As String) As String
    OneLine = Replace(Replace(text, vbCr, " "), vbLf, " ")
End Function

' Errors and blanks stay as they are: Python knows them by their COM codes.
Private Function Plain(ByVal given As Variant) As Variant
    If Not IsObject(given) Then
        Plain = given
    ElseIf TypeName(given) = "Range" Then
        Plain = Content(given)
    Else
        Plain = CVErr(2015)
    End If
End Function

' Value2 has dates and currency as plain numbers. Of several areas it has only the first: #VALUE! instead.
Private Function Content(ByVal given As Object) As Variant
    If given.Areas.Count > 1 Then
        Content = CVErr(2015)
    Else
        Content = Filled(given).Value2
    End If
End Function

' A whole column or row ends where its sheet is no longer used; any other range stays as it is.
Private Function Filled(ByVal given As Object) As Object
    Dim high As Long, wide As Long
    Set Filled = given
    high = given.Rows.Count
    wide = given.Columns.Count
    If high < given.Worksheet.Rows.Count And wide < given.Worksheet.Columns.Count Then Exit Function
    With given.Worksheet.UsedRange
        high = Smaller(high, .Row + .Rows.Count - given.Row)
        wide = Smaller(wide, .Column + .Columns.Count - given.Column)
    End With
    Set Filled = given.Resize(high, wide)
End Function

Private Function Smaller(ByVal size As Long, ByVal used As Long) As Long
    Smaller = size
    If used < size Then Smaller = used
    If Smaller < 1 Then Smaller = 1
End Function

' Rows of cells: Python hands a single row over as a list of its cells, and a single cell by itself.
Private Function Shown(ByVal found As Variant) As Variant
    Dim cells() As Variant, row As Long, column As Long
    If Not IsArray(found) Then
        Shown = TrueCell(found)
        Exit Function
    End If
    If HasColumns(found) Then
        ReDim cells(LBound(found, 1) To UBound(found, 1), LBound(found, 2) To UBound(found, 2))
        For row = LBound(found, 1) To UBound(found, 1)
            For column = LBound(found, 2) To UBound(found, 2)
                cells(row, column) = TrueCell(found(row, column))
            Next column
        Next row
    Else
        ReDim cells(1 To 1, LBound(found) To UBound(found))
        For column = LBound(found) To UBound(found)
            cells(1, column) = TrueCell(found(column))
        Next column
    End If
    Shown = cells
End Function

Private Function HasColumns(ByVal found As Variant) As Boolean
    Dim last As Long
    On Error GoTo one
    last = UBound(found, 2)
    HasColumns = True
one:
End Function

Private Function TrueCell(ByVal found As Variant) As Variant
    TrueCell = found
    If VarType(found) <> vbString Then Exit Function
    If Left$(found, 1) <> "#" Then Exit Function
    Select Case found
        Case "#NULL!": TrueCell = CVErr(2000)
        Case "#DIV/0!": TrueCell = CVErr(2007)
        Case "#VALUE!": TrueCell = CVErr(2015)
        Case "#REF!": TrueCell = CVErr(2023)
        Case "#NAME?": TrueCell = CVErr(2029)
        Case "#NUM!": TrueCell = CVErr(2036)
        Case "#N/A": TrueCell = CVErr(2042)
    End Select
End Function

' --- Python: started once, asked again after it ended, left alone for a while when it does not start ---

' Only a server that answered before is started anew: one that never did fails for every cell alike.
Private Function Asked(ByVal name As String, ByVal values As Variant) As Variant
    Dim again As Boolean, why As String
    again = Not (server Is Nothing)
    On Error GoTo gone
ask:
    If server Is Nothing Then Set server = Started()
    Asked = server.CallUDF(FUNCTIONS_IN, (name), (values))
    Exit Function
gone:
    why = Err.Description
    Set server = Nothing
    If Not again Then Err.Raise 1000, , why
    again = False
    Resume ask
End Function

' A start may take minutes to fail, so the rest is counted from its end.
Private Function Started() As Object
    Dim found As Variant
    If Now < not_before Then Err.Raise 1000, , reason
    On Error GoTo failed
    If LoadLibraryW(StrPtr(LibraryFolder() & "\" & LIBRARY)) = 0 Then
        Err.Raise 1000, , LIBRARY & " is not in " & LibraryFolder()
    End If
    If XLPyDLLActivateAuto(found, StartCommand(), 1) <> 0 Then Err.Raise 1000, , found
    Set Started = found
    Exit Function
failed:
    reason = Err.Description
    not_before = Now + TimeSerial(0, 0, 30)
    Err.Raise 1000, , reason
End Function

' --- Help in the dialogs Insert Function and Function Arguments ---

' One text that Excel does not take must not cost the others: HelpNotTaken names it in the end.
Private Sub Tell(ByVal name As String, ByVal text As String, Optional ByVal about As Variant)
    Dim macro As String
    On Error GoTo refused
    macro = "'" & ThisWorkbook.Name & "'!" & name
    If IsMissing(about) Then
        Application.MacroOptions Macro:=macro, Description:=text, Category:=CATEGORY
    Else
        Application.MacroOptions Macro:=macro, Description:=text, Category:=CATEGORY, ArgumentDescriptions:=about
    End If
    Exit Sub
refused:
    untold = untold & " " & name
End Sub
