# The bench: built with the tests, run by hand (see the head of layout.c).
if(TRIMWELL_TESTS)
  add_executable(bench-layout ${CMAKE_CURRENT_LIST_DIR}/layout.c ${TW_OBJECTS_TO_layout})
  target_link_libraries(bench-layout PRIVATE tw_flags ${TW_FOREIGN})
endif()
